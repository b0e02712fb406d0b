// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/decimals_watch.h"

namespace potwatch::serial {

bool DecimalsWatch::note(const DecodedLine& line) {
    if (is_proven_) {
        return false;
    }
    ++lines_;
    has_zero_ = has_zero_ || line.ends_in_zero;
    columns_.resize(line.decimals.size());
    for (std::size_t i = 0; i < columns_.size(); ++i) {
        const std::optional<int>& decimals = line.decimals[i];
        if (decimals) {
            columns_[i].varies = columns_[i].varies || (columns_[i].decimals && columns_[i].decimals != decimals);
            columns_[i].decimals = decimals;
        }
    }
    is_proven_ = has_zero_ && lines_ >= enough_lines;
    return is_proven_;
}

void DecimalsWatch::apply(LineFormat& format) const {
    for (std::size_t i = 0; i < columns_.size() && i < format.columns.size(); ++i) {
        if (!columns_[i].varies) {
            format.columns[i].decimals = columns_[i].decimals;
        }
    }
}

} // namespace potwatch::serial
