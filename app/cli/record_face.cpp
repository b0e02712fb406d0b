// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/record_face.h"

#include "app/cli/output.h"
#include "app/format/number.h"
#include "app/format/text.h"
#include "app/format/wall_time.h"
#include "app/format/watch_text.h"
#include "app/session/event_keys.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::cli {
namespace {

using Json = nlohmann::ordered_json;
using Phase = session::RecordingState::Phase;

constexpr const char* bell = "\a";

// "1:02:07" or "02:07".
std::string clockText(double time_s) {
    const auto whole = static_cast<long>(std::max(0.0, time_s));
    return whole >= 3600 ? fmt::format("{}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60)
                         : fmt::format("{:02}:{:02}", whole / 60, whole % 60);
}

std::string keysText() {
    std::string text = "Keys:";
    for (const session::EventKey& key : session::event_keys) {
        text += fmt::format(" {} {},", key.key, key.kind);
    }
    return text + fmt::format(" {} one drop, {} takes the last one back, q ends the run.", session::drop_key,
                              session::undo_key);
}

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

} // namespace

RecordFace::RecordFace(bool json, bool reads_keys, Batch batch)
    : json_(json)
    , screen_(json, reads_keys)
    , batch_(std::move(batch)) {}

void RecordFace::take(session::RecordingNews news) {
    const std::lock_guard lock(mutex_);
    news_.push_back(std::move(news));
    has_ended_ = std::holds_alternative<session::RecordingEnded>(news_.back()) || has_ended_;
}

void RecordFace::log(double time_s, const std::string& text) {
    if (!json_ || screen_.isTerminal()) {
        screen_.line(fmt::format("{} {}", clockText(time_s), text));
    }
}

void RecordFace::tell(const session::RecordingNews& news) {
    using session::DeviceChange;
    if (const auto* const found = std::get_if<session::FormatFound>(&news)) {
        format_ = *found;
        log(0.0, fmt::format("{}: {}.", found->was_stated ? "As the device file says" : "Found by looking",
                             found->in_words));
        log(0.0, "Channels: " + columnsText(found->format));
        for (const std::string& remark : found->remarks) {
            log(0.0, "Note: " + remark);
        }
    } else if (const auto* const began = std::get_if<session::RunBegan>(&news)) {
        began_ = *began;
        log(0.0, fmt::format("Recording \"{}\".", began->name));
    } else if (const auto* const in_book = std::get_if<session::RunInBook>(&news)) {
        for (const std::string& notice : in_book->notices) {
            notices_.push_back(notice);
            log(0.0, notice);
        }
    } else if (const auto* const device = std::get_if<session::DeviceNews>(&news)) {
        times_lost_ += device->what == DeviceChange::lost ? 1 : 0;
        was_connected_ = was_connected_ || device->what == DeviceChange::connected;
        if (device->what == DeviceChange::calibrated) {
            calibrations_.push_back(device->text);
        } else if (device->what == DeviceChange::channel_missing) {
            notices_.push_back(device->text);
        }
        const bool is_hopeless = device->what == DeviceChange::not_understood ||
                                 (device->what == DeviceChange::not_there && !was_connected_);
        if (is_hopeless) {
            faults_.push_back(
                {.kind = device->what == DeviceChange::not_understood ? FaultKind::input : FaultKind::device,
                 .what = device->text,
                 .where = {},
                 .remedy = {}});
            wants_to_end_ = true;
        } else {
            log(device->time_s, device->text);
        }
    } else if (const auto* const refused = std::get_if<session::LinesRefused>(&news)) {
        if (refused_ == 0 && !refused->lines.empty()) {
            log(refused->lines.back().time_s,
                fmt::format("A line was refused: \"{}\" ({}). It is kept in the book; more are only counted.",
                            refused->lines.back().line, refused->lines.back().reason));
        }
        refused_ = refused->count;
    } else if (const auto* const storage = std::get_if<session::StorageNews>(&news)) {
        log(storage->time_s, storage->trouble
                                 ? fmt::format("{}. What comes is kept in memory and written as soon as it can be.",
                                               describe(*storage->trouble))
                                 : "The book takes all again: nothing was lost.");
    } else if (const auto* const changed = std::get_if<session::BookChanged>(&news)) {
        notices_.push_back(changed->text);
        log(changed->time_s, changed->text + ".");
    } else if (const auto* const alarm = std::get_if<session::WatchNews>(&news)) {
        const bool ended = alarm->change.kind == AlarmChange::Kind::ended;
        const bool is_warning = !ended && alarm->change.alarm.level == AlarmLevel::warning;
        if (is_warning && screen_.isTerminal()) {
            std::fwrite(bell, 1, 1, stderr);
        }
        log(alarm->time_s, ended ? "Over: " + format::alarmTitle(alarm->change.alarm)
                                 : fmt::format("{}{} {}", is_warning ? "WARNING: " : "", alarm->what, alarm->advice));
    } else if (const auto* const command = std::get_if<session::CommandNews>(&news)) {
        log(command->time_s, command->text + ".");
    } else if (const auto* const entered = std::get_if<session::EventNews>(&news)) {
        if (entered->event.kind != "warning" || entered->withdrawn) {
            log(entered->event.time_s,
                fmt::format("{}{}{}{}", entered->withdrawn ? "taken back: " : "", entered->event.kind,
                            entered->event.text.empty() ? "" : ": ", entered->event.text));
        }
    } else if (const auto* const awake = std::get_if<session::AwakeNews>(&news)) {
        if (!awake->kept_awake) {
            log(0.0, awake->text);
        }
    } else if (const auto* const rest = std::get_if<session::RestNews>(&news)) {
        log(rest->time_s, rest->text);
    } else if (const auto* const ended = std::get_if<session::RecordingEnded>(&news)) {
        ended_ = *ended;
    }
}

// What a warning advises changes when the dose begins or ends: those that stand are told anew.
void RecordFace::retellStanding(const WatchState& now) {
    const WatchState& before = last_.watch;
    if (now.dose_phase == before.dose_phase) {
        return;
    }
    for (const Alarm& alarm : now.alarms) {
        const bool stood = std::any_of(before.alarms.begin(), before.alarms.end(), [&](const Alarm& one) {
            return one.kind == alarm.kind && one.channel == alarm.channel;
        });
        if (stood && alarm.level == AlarmLevel::warning) {
            const format::AlarmText text = format::alarmText(alarm, now);
            log(now.time_s, fmt::format("WARNING, still: {} {}", text.what, text.advice));
        }
    }
}

void RecordFace::show(const session::RecordingState& state) {
    std::vector<session::RecordingNews> news;
    {
        const std::lock_guard lock(mutex_);
        news.swap(news_);
    }
    if (screen_.hasKeys() && !std::exchange(shows_keys_, true)) {
        screen_.line(keysText());
    }
    for (const session::RecordingNews& one : news) {
        tell(one);
    }
    retellStanding(state.watch);
    last_ = state;
    switch (state.phase) {
    case Phase::looking:
    case Phase::ready:
    case Phase::waiting:
        screen_.latest(state.is_connected ? "Waiting for the first line ..." : "Waiting for the device ...");
        break;
    case Phase::recording:
        screen_.latest(fmt::format("{} {}{}", clockText(state.now_s), format::watchSentence(state.watch),
                                   state.is_connected ? "" : " (the device is away)"));
        break;
    case Phase::ending:
        screen_.latest(state.storage_trouble ? "Waiting for the book ..." : "Writing the last samples ...");
        break;
    case Phase::ended:
        break;
    }
}

void RecordFace::takeBack(session::Recording& recording) {
    if (entered_.empty()) {
        return;
    }
    if (const std::optional<Event>& event = entered_.back()) {
        recording.withdrawEvent(*event);
    } else {
        batch_.dose->steps.pop_back();
        recording.setBatch(batch_);
        log(last_.now_s, "taken back: one drop");
    }
    entered_.pop_back();
}

void RecordFace::takeKeys(session::Recording& recording) {
    while (const std::optional<char> key = screen_.key()) {
        if (*key == 'q') {
            wants_to_end_ = true;
        } else if (*key == session::undo_key) {
            takeBack(recording);
        } else if (*key == session::drop_key && last_.phase == Phase::recording) {
            batch_.dose = batch_.dose.value_or(Dose());
            batch_.dose->steps.push_back({.time_s = last_.now_s, .amount = 1.0, .unit = DoseUnit::drop});
            recording.setBatch(batch_);
            entered_.emplace_back();
            log(last_.now_s, fmt::format("one drop ({} so far)", batch_.dose->steps.size()));
        }
        for (const session::EventKey& known : session::event_keys) {
            if (known.key == *key) {
                entered_.emplace_back(recording.addEvent(std::string(known.kind)));
            }
        }
    }
}

std::string RecordFace::jsonText(const std::vector<Fault>& faults, const std::string& book) const {
    const auto text = [](const std::string& value) { return value.empty() ? Json(nullptr) : Json(value); };
    Json channels = Json::array();
    for (const session::LiveChannel& channel : began_ ? began_->channels : std::vector<session::LiveChannel>()) {
        channels.push_back(Json{{"name", channel.name}, {"unit", text(channel.unit)}});
    }
    Json events = Json::array();
    for (const Event& event : last_.events) {
        events.push_back(Json{{"time_s", event.time_s}, {"kind", event.kind}, {"text", event.text}});
    }
    Json remarks = notices_;
    return Json{{"format", 1},
                {"book", book},
                {"run", text(ended_.id)},
                {"name", began_ ? Json(began_->name) : Json(nullptr)},
                {"started", began_ ? Json(format::wallTimeText(began_->started)) : Json(nullptr)},
                {"samples", ended_.scans},
                {"samples_lost", ended_.scans_lost},
                {"span_s", last_.last ? Json(last_.last->time_s) : Json(nullptr)},
                {"lines_refused", refused_},
                {"times_lost", times_lost_},
                {"lines", format_ ? Json(format_->in_words) : Json(nullptr)},
                {"channels", std::move(channels)},
                {"calibrations", calibrations_},
                {"events", std::move(events)},
                {"notices", std::move(remarks)},
                {"faults", faultsJson(faults)}}
        .dump();
}

ExitCode RecordFace::finish(std::vector<Fault> faults, const std::string& book, const std::string& findings) {
    show(last_);
    screen_.wipeLatest();
    faults.insert(faults.begin(), faults_.begin(), faults_.end());
    if (ended_.scans_lost > 0) {
        // That it was stopped is not the matter any more, nor that the rest is in the book.
        std::erase_if(faults, [](const Fault& fault) { return fault.kind == FaultKind::cancelled; });
        faults.push_back(session::lossFault(ended_));
    } else if (ended_.fault) {
        faults.push_back(*ended_.fault);
    }
    if (faults.empty() && !began_) {
        faults.push_back({.kind = was_connected_ && refused_ > 0 ? FaultKind::input : FaultKind::device,
                          .what = refused_ > 0 ? "no line that came was understood" : "no line has come",
                          .where = {},
                          .remedy = refused_ > 0 ? "say how they are built in a device file, and name it with --device"
                                                 : "check the device and its port with `potwatch devices`"});
    }
    if (json_) {
        return cli::finish(printJson(Json::parse(jsonText(faults, book))), faults);
    }
    std::string text;
    if (began_) {
        text = fmt::format("Recorded \"{}\": {}, {} in {}.\n", format::oneLine(began_->name),
                           format::countText(ended_.scans, "sample", "samples"),
                           format::durationText(last_.last ? last_.last->time_s : 0.0), format::oneLine(book));
        if (refused_ > 0) {
            text += fmt::format("{} refused; they are kept in the book.\n",
                                format::countText(refused_, "line was", "lines were"));
        }
        if (times_lost_ > 0) {
            text += fmt::format("The device was lost {}; the gaps are marked.\n",
                                format::countText(times_lost_, "time", "times"));
        }
    }
    return cli::finish(printText(text + findings), faults);
}

} // namespace potwatch::cli
