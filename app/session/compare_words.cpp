// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/compare_words.h"

#include "app/format/compare_text.h"

#include <algorithm>
#include <utility>

namespace potwatch::session {
namespace {

std::string stopped(std::string words) {
    if (!words.empty() && words.back() != '.') {
        words += '.';
    }
    return words;
}

std::string sentence(std::string words) {
    if (!words.empty() && words.front() >= 'a' && words.front() <= 'z') {
        words.front() = static_cast<char>(words.front() - 'a' + 'A');
    }
    return stopped(std::move(words));
}

// A run keeps its name as it is written.
bool startsWithAName(const std::string& words, const std::vector<std::string>& names) {
    return std::any_of(names.begin(), names.end(),
                       [&](const std::string& name) { return words.starts_with(name + ' '); });
}

} // namespace

std::string headlineOf(const Comparison& comparison) {
    const format::TrendNames names{.x = comparison.x, .y = comparison.y};
    if (comparison.next && comparison.request.limit) {
        return sentence(format::nextText(*comparison.next, *comparison.request.limit, names));
    }
    if (comparison.at_limit) {
        return sentence(format::atLimitText(*comparison.at_limit, names));
    }
    if (comparison.trend) {
        return sentence(comparison.no_limit.empty() ? format::trendText(*comparison.trend, names)
                                                    : comparison.no_limit);
    }
    return sentence(comparison.no_trend);
}

std::vector<CompareSentence> sentencesOf(const Comparison& comparison) {
    const format::TrendNames names{.x = comparison.x, .y = comparison.y};
    const std::string said = headlineOf(comparison);
    std::vector<CompareSentence> sentences;
    const auto add = [&](std::string words, bool strong = false) {
        const bool keeps_case = startsWithAName(words, comparison.names);
        words = keeps_case ? stopped(std::move(words)) : sentence(std::move(words));
        if (!words.empty() && words != said) {
            sentences.push_back({.text = std::move(words), .strong = strong});
        }
    };
    if (comparison.trend) {
        if (comparison.at_limit) {
            add(format::atLimitText(*comparison.at_limit, names), true);
        } else {
            add(comparison.no_limit);
        }
        add(format::trendText(*comparison.trend, names));
        add(format::misfitText(*comparison.trend, names));
        add(format::choiceText(*comparison.trend));
    } else {
        add(comparison.no_trend);
    }
    for (const std::string& warning : comparison.warnings) {
        add(warning);
    }
    return sentences;
}

} // namespace potwatch::session
