// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/values/landmark_kind.h"

#include <cstddef>

namespace potwatch {
namespace {

constexpr std::array<std::string_view, 7> names{"first_deviation", "onset", "steepest", "boil_start", "peak",
                                                "boil_end",        "end"};

} // namespace

std::string_view nameOf(LandmarkKind kind) {
    return names.at(static_cast<std::size_t>(kind));
}

std::optional<LandmarkKind> landmarkKindNamed(std::string_view name) {
    for (const LandmarkKind kind : all_landmark_kinds) {
        if (nameOf(kind) == name) {
            return kind;
        }
    }
    return std::nullopt;
}

} // namespace potwatch
