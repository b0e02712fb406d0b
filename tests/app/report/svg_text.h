// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QXmlStreamReader>

#include <string>

namespace potwatch::report {

// All text elements of an SVG, a line each; empty where it is not well-formed.
inline std::string textOfSvg(const std::string& svg) {
    QXmlStreamReader xml(QByteArray::fromStdString(svg));
    std::string text;
    while (!xml.atEnd()) {
        if (xml.readNext() == QXmlStreamReader::StartElement && xml.name() == QLatin1String("text")) {
            text += xml.readElementText(QXmlStreamReader::IncludeChildElements).trimmed().toStdString() + "\n";
        }
    }
    return xml.hasError() ? std::string() : text;
}

} // namespace potwatch::report
