// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/recording.h"

#include <QObject>
#include <QString>
#include <QTimer>

#include <memory>
#include <variant>
#include <vector>

namespace potwatch::window {

// A recording as the window has it: it hears the news on the window's thread, keeps what can be undone, and puts the
// news into words for the log.
class Recorder : public QObject {
    Q_OBJECT

public:
    explicit Recorder(QObject* parent = nullptr);
    ~Recorder() override; // stops, and waits until all is written

    // Lets go of what was connected before. Nothing is recorded yet.
    void connectTo(std::unique_ptr<serial::ByteSource> source, const serial::Device& device);
    void begin(const session::RunWanted& wanted);
    void stop();
    void letGo(); // of a device that is not recorded from

    [[nodiscard]] bool isConnecting() const { return recording_ != nullptr && !has_begun_; }
    [[nodiscard]] bool isRecording() const { return recording_ != nullptr && has_begun_; } // also while it ends
    [[nodiscard]] const session::RecordingState& state() const { return state_; }

    void enter(const QString& kind, const QString& text = {});
    void drop();     // one drop of the dose, now
    void takeBack(); // the last of these
    void acknowledge();
    [[nodiscard]] bool isAcknowledged() const { return is_acknowledged_; }
    [[nodiscard]] bool maySleep() const { return may_sleep_; } // keeping this computer awake was refused

    // What is stated of the pot, changed while the run is recorded; drops are steps of its dose.
    void restate(const Batch& batch);

Q_SIGNALS:
    void changed(); // the state; a few times a second
    void found(const QString& words);
    void began(const potwatch::session::RunBegan& news);
    void came(const std::vector<potwatch::session::LiveScan>& scans);
    void restated(const potwatch::Batch& batch); // by a drop, or by one that was taken back
    void logged(double time_s, const QString& text);
    void warned(const QString& what, const QString& advice);
    void ended(const potwatch::session::RecordingEnded& news);

private:
    void take(const session::RecordingNews& news);
    void look();
    void log(double time_s, const std::string& text);

    std::unique_ptr<session::Recording> recording_;
    session::RecordingState state_;
    QTimer looking_;
    Batch batch_;
    std::vector<std::variant<Event, DoseStep>> entered_;
    unsigned connection_ = 0; // news of an earlier one does not count
    bool has_begun_ = false;
    bool is_acknowledged_ = true;
    bool may_sleep_ = false;
};

} // namespace potwatch::window
