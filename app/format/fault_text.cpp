// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/fault_text.h"

#include "app/format/text.h"

namespace potwatch::format {
namespace {

// Faults are parts of a line, so that they begin with a small letter and end without a stop.
std::string sentence(std::string words) {
    if (words.empty()) {
        return words;
    }
    if (words.front() >= 'a' && words.front() <= 'z') {
        words.front() = static_cast<char>(words.front() - 'a' + 'A');
    }
    return words.back() == '.' ? words : words + '.';
}

} // namespace

std::string faultText(const Fault& fault) {
    std::string text = fault.where.channel.empty() ? std::string() : "channel " + oneLine(fault.where.channel) + ": ";
    text = sentence(text + fault.what);
    return fault.remedy.empty() ? text : text + " " + sentence(fault.remedy);
}

} // namespace potwatch::format
