// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/file_name.h"

namespace potwatch::session {
namespace {

// Letters of other scripts (bytes from 0x80 on) are kept: file systems take them.
bool belongsInFileName(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '.' || c == '_' ||
           c == '+' || static_cast<unsigned char>(c) >= 0x80U;
}

} // namespace

std::string asFileName(std::string_view run) {
    std::string name;
    for (const char c : run) {
        if (belongsInFileName(c)) {
            name += c;
        } else if (!name.empty() && name.back() != '-') {
            name += '-';
        }
    }
    while (!name.empty() && name.back() == '-') {
        name.pop_back();
    }
    return name.empty() ? std::string("run") : name;
}

} // namespace potwatch::session
