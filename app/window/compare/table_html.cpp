// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/compare/table_html.h"

#include <QAbstractItemModel>

namespace potwatch::window {

QString tableHtml(const QAbstractItemModel& model, int note_role) {
    constexpr int many_columns = 10;
    QString html = QStringLiteral("<table class=\"%1\" width=\"100%\" cellspacing=\"0\" cellpadding=\"3\"><thead><tr>")
                       .arg(model.columnCount() > many_columns ? QStringLiteral("wide") : QString());
    for (int column = 0; column < model.columnCount(); ++column) {
        html += QStringLiteral("<th>%1</th>")
                    .arg(model.headerData(column, Qt::Horizontal)
                             .toString()
                             .toHtmlEscaped()
                             .replace(QLatin1Char('\n'), QStringLiteral("<br>")));
    }
    html += QStringLiteral("</tr></thead>");
    for (int row = 0; row < model.rowCount(); ++row) {
        html += QStringLiteral("<tr>");
        for (int column = 0; column < model.columnCount(); ++column) {
            const QModelIndex at = model.index(row, column);
            const QString note = note_role == 0 ? QString() : at.data(note_role).toString();
            html += QStringLiteral("<td>%1%2</td>")
                        .arg(at.data().toString().toHtmlEscaped(),
                             note.isEmpty() ? QString() : QStringLiteral("<br>") + note.toHtmlEscaped());
        }
        html += QStringLiteral("</tr>");
    }
    return html + QStringLiteral("</table>");
}

} // namespace potwatch::window
