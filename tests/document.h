// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <fstream>
#include <sstream>
#include <string>

namespace potwatch::test {

// The text of a page of the documentation, named from the top level; empty where there is none.
inline std::string documentText(const std::string& page) {
    std::ifstream stream(POTWATCH_SOURCE_DIR "/" + page, std::ios::binary);
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

// The first TOML example on it; empty where there is none.
inline std::string tomlExampleOf(const std::string& page) {
    const std::string text = documentText(page);
    const std::string fence = "```toml\n";
    const std::size_t start = text.find(fence);
    const std::size_t end = text.find("```", start == std::string::npos ? start : start + fence.size());
    return end == std::string::npos ? std::string() : text.substr(start + fence.size(), end - start - fence.size());
}

} // namespace potwatch::test
