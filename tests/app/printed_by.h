// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cstdio>
#include <string>

namespace potwatch::test {

// All that a shell command prints on standard output; nothing where it cannot be started.
inline std::string printedBy(const std::string& command) {
    std::string text;
    if (FILE* const pipe = ::popen(command.c_str(), "r")) {
        std::array<char, 4096> block{};
        for (std::size_t got = 0; (got = std::fread(block.data(), 1, block.size(), pipe)) > 0;) {
            text.append(block.data(), got);
        }
        ::pclose(pipe);
    }
    return text;
}

} // namespace potwatch::test
