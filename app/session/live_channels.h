// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/celsius.h"
#include "app/session/recording_news.h"

#include <string>
#include <vector>

namespace potwatch::session {

// The reacting mass among the channels of a recording, as the analysis will take it (findings::potChannel); 0 where
// there is none.
[[nodiscard]] std::size_t potOf(const std::vector<LiveChannel>& channels, const Batch& batch);

// Takes out of a batch what it says of channels that are not there: mostly it was stated for another device, and the
// findings would fail for want of them. In one sentence what was taken out, and what is taken as the pot; empty where
// all are there.
[[nodiscard]] std::string takeOutMissingChannels(Batch& batch, const std::vector<LiveChannel>& channels);

// The channels of a recording, and what their values are in °C: by the same functions as in the analysis.
class LiveChannels {
public:
    LiveChannels() = default;
    LiveChannels(const serial::LineFormat& format, Millivolts millivolts);

    [[nodiscard]] const std::vector<LiveChannel>& list() const { return list_; }
    [[nodiscard]] std::vector<Channel> asReceived() const; // names and units, no values

    // What a batch states of the probes' calibration: convert() corrects by it from now on. True where that is
    // otherwise than before.
    bool setProbes(const Batch& batch);

    // Scans as received made fit to be shown; the times stay.
    void convert(std::vector<LiveScan>& scans) const;

    // A word stands for the reading of a channel, or none any more.
    void setOpen(std::size_t channel, std::string word) { list_[channel].open = std::move(word); }

private:
    std::vector<LiveChannel> list_;
    Millivolts millivolts_;
    Run blank_; // the channels without a sample
};

} // namespace potwatch::session
