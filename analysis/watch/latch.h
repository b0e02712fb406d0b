// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>

namespace potwatch::watch {

// A judgement with hysteresis: it stands once `begin` has held for on_s, and until `stay` has failed for off_s.
class Latch {
public:
    constexpr Latch(double on_s, double off_s)
        : on_s_(on_s)
        , off_s_(off_s) {}

    // True where it stands now.
    constexpr bool update(double now_s, bool begin, bool stay) {
        const bool towards_change = stands_ ? !stay : begin;
        if (!towards_change) {
            changing_from_s_.reset();
            return stands_;
        }
        changing_from_s_ = changing_from_s_.value_or(now_s);
        if (now_s - *changing_from_s_ >= (stands_ ? off_s_ : on_s_)) {
            stands_ = !stands_;
            changing_from_s_.reset();
        }
        return stands_;
    }

    [[nodiscard]] constexpr bool stands() const { return stands_; }

private:
    double on_s_;
    double off_s_;
    bool stands_ = false;
    std::optional<double> changing_from_s_;
};

} // namespace potwatch::watch
