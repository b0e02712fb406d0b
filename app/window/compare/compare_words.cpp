// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/compare/compare_words.h"

#include "app/format/compare_text.h"

#include <QObject>

#include <algorithm>

namespace potwatch::window {
namespace {

QString text(const std::string& utf8) {
    return QString::fromStdString(utf8);
}

QString sentence(std::string words) {
    if (!words.empty() && words.front() >= 'a' && words.front() <= 'z') {
        words.front() = static_cast<char>(words.front() - 'a' + 'A');
    }
    if (!words.empty() && words.back() != '.') {
        words += '.';
    }
    return text(words);
}

} // namespace

QString headline(const session::Comparison& comparison) {
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
    const bool has_points = std::any_of(comparison.scatter.begin(), comparison.scatter.end(),
                                        [](const session::ScatterPoint& point) { return point.point.has_value(); });
    const QString why = sentence(comparison.no_trend);
    return has_points ? why
                      : why + u' ' +
                            QObject::tr("State what lacks on the page Analyse (a dose on its Pot tab), or choose other "
                                        "figures.");
}

QString trendHtml(const session::Comparison& comparison) {
    const format::TrendNames names{.x = comparison.x, .y = comparison.y};
    const QString said = headline(comparison);
    QStringList parts;
    const auto add = [&](const QString& words, bool strong = false) {
        if (!words.isEmpty() && !said.startsWith(words)) {
            const QString escaped = words.toHtmlEscaped();
            parts += strong ? QStringLiteral("<b>%1</b>").arg(escaped) : escaped;
        }
    };
    if (comparison.trend) {
        if (comparison.at_limit) {
            add(sentence(format::atLimitText(*comparison.at_limit, names)), true);
        } else {
            add(sentence(comparison.no_limit));
        }
        add(sentence(format::trendText(*comparison.trend, names)));
        add(sentence(format::misfitText(*comparison.trend, names)));
        add(sentence(format::choiceText(*comparison.trend)));
    } else {
        add(sentence(comparison.no_trend));
    }
    for (const std::string& warning : comparison.warnings) {
        add(sentence(warning));
    }
    QString html;
    for (const QString& part : parts) {
        html += QStringLiteral("<p style=\"margin-top:0; margin-bottom:5px\">%1</p>").arg(part);
    }
    return html;
}

} // namespace potwatch::window
