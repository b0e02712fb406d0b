// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/compare/compare_words.h"

#include "app/session/compare_words.h"

#include <QObject>

#include <algorithm>

namespace potwatch::window {

QString headline(const session::Comparison& comparison) {
    const QString said = QString::fromStdString(session::headlineOf(comparison));
    const bool has_points = std::any_of(comparison.scatter.begin(), comparison.scatter.end(),
                                        [](const session::ScatterPoint& point) { return point.point.has_value(); });
    return has_points ? said
                      : said + u' ' +
                            QObject::tr("State what lacks on the page Analyse (a dose on its Pot tab), or choose other "
                                        "figures.");
}

QString trendHtml(const session::Comparison& comparison) {
    QString html;
    for (const session::CompareSentence& sentence : session::sentencesOf(comparison)) {
        const QString words = QString::fromStdString(sentence.text).toHtmlEscaped();
        html += QStringLiteral("<p style=\"margin-top:0; margin-bottom:5px\">%1</p>")
                    .arg(sentence.strong ? QStringLiteral("<b>%1</b>").arg(words) : words);
    }
    return html;
}

} // namespace potwatch::window
