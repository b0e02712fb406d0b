// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/record/recorder.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace potwatch::window {

using Phase = session::RecordingState::Phase;

Recorder::Recorder(QObject* parent)
    : QObject(parent) {
    using namespace std::chrono_literals;
    looking_.setInterval(200ms);
    connect(&looking_, &QTimer::timeout, this, &Recorder::look);
}

Recorder::~Recorder() {
    recording_.reset(); // while there is somebody to tell
}

void Recorder::connectTo(std::unique_ptr<serial::ByteSource> source, const serial::Device& device) {
    recording_.reset();
    state_ = {};
    has_begun_ = false;
    is_acknowledged_ = true;
    may_sleep_ = false;
    entered_.clear();
    const unsigned connection = ++connection_;
    recording_ = std::make_unique<session::Recording>(std::move(source), device,
                                                      [this, connection](session::RecordingNews news) {
                                                          QMetaObject::invokeMethod(
                                                              this,
                                                              [this, connection, news = std::move(news)] {
                                                                  if (connection == connection_) {
                                                                      take(news);
                                                                  }
                                                              },
                                                              Qt::QueuedConnection);
                                                      });
    looking_.start();
    look();
}

void Recorder::begin(const session::RunWanted& wanted) {
    if (isConnecting()) {
        has_begun_ = true;
        batch_ = wanted.batch;
        recording_->begin(wanted);
        look();
    }
}

void Recorder::stop() {
    if (isRecording()) {
        recording_->stop();
        look();
    }
}

void Recorder::letGo() {
    if (isConnecting()) {
        ++connection_;
        looking_.stop();
        recording_.reset();
        state_ = {};
        Q_EMIT changed();
    }
}

void Recorder::look() {
    if (recording_) {
        state_ = recording_->state();
        Q_EMIT changed();
    }
}

void Recorder::enter(const QString& kind, const QString& text) {
    if (isRecording() && state_.phase == Phase::recording) {
        entered_.emplace_back(recording_->addEvent(kind.toStdString(), text.toStdString()));
    }
}

void Recorder::drop() {
    look(); // the drop falls now
    if (!isRecording() || state_.phase != Phase::recording) {
        return;
    }
    const DoseStep drop{.time_s = state_.now_s, .amount = 1.0, .unit = DoseUnit::drop};
    batch_.dose = batch_.dose.value_or(Dose());
    batch_.dose->steps.push_back(drop);
    recording_->setBatch(batch_);
    entered_.emplace_back(drop);
    const auto drops = std::count_if(batch_.dose->steps.begin(), batch_.dose->steps.end(),
                                     [](const DoseStep& step) { return step.unit == DoseUnit::drop; });
    log(state_.now_s, fmt::format("one drop ({} so far)", drops));
    Q_EMIT restated(batch_);
}

void Recorder::takeBack() {
    if (!isRecording() || entered_.empty() || state_.phase != Phase::recording) {
        return;
    }
    const std::variant<Event, DoseStep> last = std::move(entered_.back());
    entered_.pop_back();
    if (const auto* const event = std::get_if<Event>(&last)) {
        recording_->withdrawEvent(*event);
    } else if (batch_.dose) {
        std::vector<DoseStep>& steps = batch_.dose->steps; // which may have been changed in the form meanwhile
        if (const auto found = std::find(steps.begin(), steps.end(), std::get<DoseStep>(last)); found != steps.end()) {
            steps.erase(found);
            recording_->setBatch(batch_);
            log(state_.now_s, "taken back: one drop");
            Q_EMIT restated(batch_);
        }
    }
}

void Recorder::restate(const Batch& batch) {
    if (isRecording() && batch != batch_) {
        batch_ = batch;
        recording_->setBatch(batch_);
    }
}

void Recorder::acknowledge() {
    is_acknowledged_ = true;
    Q_EMIT changed();
}

} // namespace potwatch::window
