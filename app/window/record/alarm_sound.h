// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QBuffer>
#include <QObject>
#include <QTimer>

class QAudioSink;

namespace potwatch::window {

// The sound of a warning: two tones, again and again until it is told to be still. Where the computer has no sound
// output it can only beep as the desktop does.
class AlarmSound : public QObject {
    Q_OBJECT

public:
    explicit AlarmSound(QObject* parent = nullptr);
    ~AlarmSound() override;

    void ring(); // once
    void ringOn();
    void beStill();
    [[nodiscard]] bool isRinging() const { return again_.isActive(); }
    [[nodiscard]] static bool hasOutput();

Q_SIGNALS:
    void rang();

private:
    QTimer again_;
    QBuffer samples_;
    QAudioSink* sink_ = nullptr;
};

} // namespace potwatch::window
