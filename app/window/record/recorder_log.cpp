// SPDX-License-Identifier: GPL-3.0-or-later
// What a recording tells, put into words for the log.
#include "app/format/number.h"
#include "app/format/text.h"
#include "app/format/watch_text.h"
#include "app/window/record/recorder.h"

#include <fmt/format.h>

namespace potwatch::window {
namespace {

template<class... Cases>
struct Either : Cases... {
    using Cases::operator()...;
};

std::string columnsText(const serial::LineFormat& format) {
    std::string text;
    for (const serial::LineColumn& column : format.columns) {
        text += fmt::format("{}{} ({})", text.empty() ? "" : ", ", format::oneLine(column.name),
                            column.unit == "degC"   ? "°C"
                            : column.unit == "degF" ? "°F"
                            : column.unit.empty()   ? "no unit"
                                                    : column.unit);
    }
    return text;
}

std::string foundText(const session::FormatFound& found) {
    std::string text = fmt::format("{}: {}.\nChannels: {}", found.was_stated ? "As the device file says" : "Found",
                                   found.in_words, columnsText(found.format));
    for (const std::string& remark : found.remarks) {
        text += "\nNote: " + remark;
    }
    return text;
}

} // namespace

void Recorder::log(double time_s, const std::string& text) {
    Q_EMIT logged(time_s, QString::fromStdString(text));
}

void Recorder::take(const session::RecordingNews& news) {
    std::visit(Either{[&](const session::FormatFound& one) { Q_EMIT found(QString::fromStdString(foundText(one))); },
                      [&](const session::RunBegan& one) {
                          log(0.0, fmt::format("Recording \"{}\".", one.name));
                          Q_EMIT began(one);
                      },
                      [&](const session::RunInBook& one) {
                          for (const std::string& notice : one.notices) {
                              log(0.0, notice);
                          }
                      },
                      [&](const session::ScansCame& one) { Q_EMIT came(one.scans); },
                      [&](const session::DeviceNews& one) { log(one.time_s, one.text); },
                      [&](const session::LinesRefused& one) {
                          if (!one.lines.empty()) {
                              log(one.lines.back().time_s,
                                  fmt::format("Not understood, and kept as text: \"{}\" ({}). {} so far.",
                                              one.lines.back().line, one.lines.back().reason,
                                              format::countText(one.count, "line", "lines")));
                          }
                      },
                      [&](const session::StorageNews& one) {
                          log(one.time_s, one.trouble
                                              ? describe(*one.trouble) +
                                                    ". What comes is kept in memory and written as soon as it can be."
                                              : "The book takes all again: nothing was lost.");
                      },
                      [&](const session::BookChanged& one) { log(one.time_s, one.text + "."); },
                      [&](const session::WatchNews& one) {
                          const bool ends = one.change.kind == AlarmChange::Kind::ended;
                          const bool is_warning = !ends && one.change.alarm.level == AlarmLevel::warning;
                          log(one.time_s, ends ? "Over: " + format::alarmTitle(one.change.alarm)
                                               : (is_warning ? "WARNING: " : "") + one.what + " " + one.advice);
                          if (is_warning) {
                              is_acknowledged_ = false;
                              Q_EMIT warned(QString::fromStdString(one.what), QString::fromStdString(one.advice));
                          }
                      },
                      [&](const session::CommandNews& one) { log(one.time_s, one.text + "."); },
                      [&](const session::EventNews& one) {
                          if (one.event.kind != "warning") { // said as such already
                              log(one.event.time_s,
                                  fmt::format("{}{}{}{}", one.withdrawn ? "taken back: " : "", one.event.kind,
                                              one.event.text.empty() ? "" : ": ", one.event.text));
                          }
                      },
                      [&](const session::AwakeNews& one) {
                          may_sleep_ = !one.kept_awake;
                          log(state_.now_s, one.text);
                      },
                      [&](const session::RestNews& one) { log(one.time_s, one.text); },
                      [&](const session::RecordingEnded& one) {
                          if (one.scans_lost > 0) {
                              log(state_.now_s, describe(session::lossFault(one)));
                          } else if (one.fault) {
                              log(state_.now_s, describe(*one.fault));
                          }
                          looking_.stop();
                          ++connection_;
                          recording_.reset();
                          has_begun_ = false;
                          may_sleep_ = false;
                          is_acknowledged_ = true;
                          state_ = {};
                          Q_EMIT changed();
                          Q_EMIT ended(one);
                      }},
               news);
}

} // namespace potwatch::window
