// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/record/alarm_sound.h"

#include <QApplication>
#include <QAudioDevice>
#include <QAudioFormat>
#include <QAudioSink>
#include <QMediaDevices>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

namespace potwatch::window {
namespace {

using namespace std::chrono_literals;

constexpr int samples_a_second = 44100;
constexpr auto repeat_every = 3s;

// Two tones of which nobody needs good ears for one, with soft ends so that they do not click.
QByteArray tones() {
    constexpr std::array<double, 4> pitches_hz{740.0, 988.0, 740.0, 988.0};
    constexpr double tone_s = 0.22;
    constexpr double end_s = 0.01;
    constexpr double loudness = 0.6 * 32767.0;
    QByteArray bytes;
    for (const double pitch_hz : pitches_hz) {
        for (int i = 0; i < static_cast<int>(tone_s * samples_a_second); ++i) {
            const double t = static_cast<double>(i) / samples_a_second;
            const double ends = std::min({1.0, t / end_s, (tone_s - t) / end_s});
            const auto value = static_cast<qint16>(loudness * ends * std::sin(2.0 * std::numbers::pi * pitch_hz * t));
            bytes.append(reinterpret_cast<const char*>(&value), sizeof value);
        }
    }
    return bytes;
}

} // namespace

AlarmSound::AlarmSound(QObject* parent)
    : QObject(parent) {
    again_.setInterval(repeat_every);
    connect(&again_, &QTimer::timeout, this, &AlarmSound::ring);
}

AlarmSound::~AlarmSound() {
    delete sink_; // before what it reads from
}

bool AlarmSound::hasOutput() {
    return !QMediaDevices::defaultAudioOutput().isNull();
}

void AlarmSound::ring() {
    const QAudioDevice output = QMediaDevices::defaultAudioOutput();
    delete std::exchange(sink_, nullptr);
    if (output.isNull()) {
        QApplication::beep();
    } else {
        QAudioFormat format;
        format.setSampleRate(samples_a_second);
        format.setChannelCount(1);
        format.setSampleFormat(QAudioFormat::Int16);
        if (samples_.size() == 0) {
            samples_.setData(tones());
            samples_.open(QIODevice::ReadOnly);
        }
        samples_.seek(0);
        sink_ = new QAudioSink(output, format); // of the output that is the usual one now
        sink_->start(&samples_);
    }
    Q_EMIT rang();
}

void AlarmSound::ringOn() {
    if (!again_.isActive()) {
        again_.start();
        ring();
    }
}

void AlarmSound::beStill() {
    again_.stop();
}

} // namespace potwatch::window
