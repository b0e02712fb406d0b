// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <string_view>

namespace potwatch::serial {

// Speeds in the order in which they are tried. Source: common practice, no source.
inline constexpr std::array<int, 9> usual_bauds{9600, 115'200, 19'200, 38'400, 57'600, 4800, 2400, 230'400, 1200};

enum class Listened {
    too_little, // listen on
    text,       // lines of text: the speed is right
    noise       // it is not
};

// What the bytes say that came at one speed. At a wrong one most bytes are no printable characters, and there are no
// ends of lines where they belong. Text: two ends of lines with a digit between them and nothing that is no text;
// noise: over a quarter of 64 bytes or more is no text.
[[nodiscard]] Listened judgeSpeed(std::string_view bytes);

} // namespace potwatch::serial
