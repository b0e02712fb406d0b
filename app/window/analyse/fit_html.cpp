// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/analyse/fit_html.h"

#include "app/session/fit_sections.h"

#include <QCoreApplication>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

QString words(const char* text) {
    return QCoreApplication::translate("FitHtml", text);
}

QString escaped(const std::string& text) {
    return QString::fromStdString(text).toHtmlEscaped();
}

QString paragraph(const std::string& sentence) {
    return u"<p style='margin-top:2px; margin-bottom:2px'>"_s + escaped(sentence) + u"</p>"_s;
}

QString heading(const QString& text) {
    return u"<p style='margin-top:14px; margin-bottom:3px'><b>"_s + text + u"</b></p>"_s;
}

QString tableHtml(const format::Table& table) {
    QString html = u"<table cellspacing='0' cellpadding='0' style='margin-top:4px; margin-bottom:4px'>"_s;
    for (std::size_t row = 0; row < table.size(); ++row) {
        html += u"<tr>"_s;
        for (const std::string& cell : table[row]) {
            const QString text = escaped(cell).replace(u' ', QChar::Nbsp);
            html += row == 0 ? u"<th align='left' style='padding-right:14px'>"_s + text + u"</th>"_s
                             : u"<td style='padding-right:14px'>"_s + text + u"</td>"_s;
        }
        html += u"</tr>"_s;
    }
    return html + u"</table>"_s;
}

} // namespace

QString fitHtml(const session::FittedFiles& fitted) {
    const std::vector<session::FitSection> sections = session::fitSections(fitted);
    const QString title = escaped(session::fitTitle(fitted));
    QString html =
        u"<p style='margin-top:0px; margin-bottom:3px'><b>"_s + title.left(1).toUpper() + title.mid(1) + u"</b></p>"_s;
    for (std::size_t i = 0; i < sections.size(); ++i) {
        const session::FitSection& section = sections[i];
        html += section.title.empty() ? QString() : heading(escaped(section.title));
        for (const std::string& sentence : section.before) {
            html += paragraph(sentence);
        }
        if (i == 0) {
            const std::vector<std::string> warnings = session::fitWarnings(fitted);
            html += warnings.empty() ? QString() : heading(words("Warnings"));
            for (const std::string& warning : warnings) {
                html += paragraph(warning);
            }
            html += heading(words("The law"));
            for (const std::string& sentence : section.after) {
                html += paragraph(sentence);
            }
        }
        html += section.table.empty() ? QString() : tableHtml(section.table);
        for (std::size_t k = 0; i > 0 && k < section.after.size(); ++k) {
            html += paragraph(section.after[k]);
        }
    }
    return html;
}

QString fitTabbed(const session::FittedFiles& fitted) {
    std::string text = session::fitTitle(fitted) + "\n";
    for (const session::FitSection& section : session::fitSections(fitted)) {
        text += section.title.empty() ? std::string() : "\n" + section.title + "\n";
        for (const std::string& sentence : section.before) {
            text += sentence + "\n";
        }
        for (const std::vector<std::string>& row : section.table) {
            for (std::size_t i = 0; i < row.size(); ++i) {
                text += (i == 0 ? "" : "\t") + row[i];
            }
            text += "\n";
        }
        for (const std::string& sentence : section.after) {
            text += sentence + "\n";
        }
    }
    for (const std::string& warning : session::fitWarnings(fitted)) {
        text += "! " + warning + "\n";
    }
    return QString::fromStdString(text);
}

QString faultsHtml(const std::vector<Fault>& faults) {
    QString html = heading(words("There is no answer from these runs"));
    for (const Fault& fault : faults) {
        html += paragraph(fault.what);
        html += fault.remedy.empty() ? QString() : paragraph(fault.remedy);
    }
    return html;
}

} // namespace potwatch::window
