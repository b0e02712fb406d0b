// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/celsius.h"
#include "app/session/recording_news.h"

#include <string>
#include <vector>

namespace potwatch::session {

// The channels of a recording, and what their values are in °C: by the same functions as in the analysis.
class LiveChannels {
public:
    LiveChannels() = default;
    LiveChannels(const serial::LineFormat& format, Millivolts millivolts);

    [[nodiscard]] const std::vector<LiveChannel>& list() const { return list_; }
    [[nodiscard]] std::vector<Channel> asReceived() const; // names and units, no values

    // Scans as received made fit to be shown; the times stay.
    void convert(std::vector<LiveScan>& scans) const;

    // The reacting mass: the channel that the batch names, else the probe in the pot, else the first temperature; 0
    // where there is none.
    [[nodiscard]] std::size_t potOf(const Batch& batch) const;

    // A word stands for the reading of a channel, or none any more.
    void setOpen(std::size_t channel, std::string word) { list_[channel].open = std::move(word); }

private:
    std::vector<LiveChannel> list_;
    Millivolts millivolts_;
    Run blank_; // the channels without a sample
};

} // namespace potwatch::session
