// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/look.h"

#include <QApplication>
#include <QFont>
#include <QStyle>
#include <QStyleFactory>

#include <algorithm>
#include <cmath>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

struct Shades {
    QColor window;
    QColor base;
    QColor alternate;
    QColor button;
    QColor text;
    QColor placeholder;
    QColor faded; // disabled
    QColor highlight;
    QColor highlighted_text;
    QColor link;
    QColor edge_light;
    QColor edge_dark;
};

QPalette paletteOf(const Shades& shades) {
    QPalette palette;
    palette.setColor(QPalette::Window, shades.window);
    palette.setColor(QPalette::WindowText, shades.text);
    palette.setColor(QPalette::Base, shades.base);
    palette.setColor(QPalette::AlternateBase, shades.alternate);
    palette.setColor(QPalette::Text, shades.text);
    palette.setColor(QPalette::PlaceholderText, shades.placeholder);
    palette.setColor(QPalette::Button, shades.button);
    palette.setColor(QPalette::ButtonText, shades.text);
    palette.setColor(QPalette::BrightText, shades.text);
    palette.setColor(QPalette::ToolTipBase, shades.base);
    palette.setColor(QPalette::ToolTipText, shades.text);
    palette.setColor(QPalette::Highlight, shades.highlight);
    palette.setColor(QPalette::HighlightedText, shades.highlighted_text);
    palette.setColor(QPalette::Link, shades.link);
    palette.setColor(QPalette::LinkVisited, shades.link);
    palette.setColor(QPalette::Light, shades.edge_light);
    palette.setColor(QPalette::Midlight, mixed(shades.edge_light, shades.button, 0.5));
    palette.setColor(QPalette::Mid, mixed(shades.edge_dark, shades.button, 0.4));
    palette.setColor(QPalette::Dark, shades.edge_dark);
    palette.setColor(QPalette::Shadow, mixed(shades.edge_dark, Qt::black, 0.5));
    for (const QPalette::ColorRole role : {QPalette::WindowText, QPalette::Text, QPalette::ButtonText}) {
        palette.setColor(QPalette::Disabled, role, shades.faded);
    }
    palette.setColor(QPalette::Disabled, QPalette::Highlight, shades.edge_dark);
    return palette;
}

// The desktop's own font, as it was before a size was chosen.
QFont& desktopFont() {
    static QFont font = QApplication::font();
    return font;
}

// As the desktop stated it, before the program set one.
QPalette& desktopPalette() {
    static QPalette palette = QApplication::palette();
    return palette;
}

} // namespace

QPalette lightPalette() {
    return paletteOf({.window = QColor(246, 245, 242),
                      .base = QColor(255, 255, 255),
                      .alternate = QColor(250, 249, 247),
                      .button = QColor(238, 236, 232),
                      .text = QColor(28, 28, 30),
                      .placeholder = QColor(110, 108, 104),
                      .faded = QColor(150, 148, 144),
                      .highlight = QColor(0, 95, 146),
                      .highlighted_text = QColor(255, 255, 255),
                      .link = QColor(0, 95, 146),
                      .edge_light = QColor(255, 255, 255),
                      .edge_dark = QColor(176, 173, 167)});
}

QPalette darkPalette() {
    return paletteOf({.window = QColor(32, 33, 36),
                      .base = QColor(24, 25, 27),
                      .alternate = QColor(29, 30, 33),
                      .button = QColor(46, 47, 51),
                      .text = QColor(234, 232, 228),
                      .placeholder = QColor(150, 148, 145),
                      .faded = QColor(116, 115, 113),
                      .highlight = QColor(32, 104, 150),
                      .highlighted_text = QColor(255, 255, 255),
                      .link = QColor(120, 190, 235),
                      .edge_light = QColor(62, 63, 68),
                      .edge_dark = QColor(82, 83, 88)});
}

void applyAppearance(QApplication& application, Appearance appearance) {
    const QString forced = qEnvironmentVariable("POTWATCH_APPEARANCE");
    if (forced == u"light"_s || forced == u"dark"_s) {
        appearance = forced == u"dark"_s ? Appearance::dark : Appearance::light;
    }
    const QPalette stated = desktopPalette();
    if (appearance == Appearance::desktop) {
        // The style's standard colours are nobody's choice.
        const QPalette standard = QApplication::style()->standardPalette();
        const bool chosen = stated.color(QPalette::Window) != standard.color(QPalette::Window) ||
                            stated.color(QPalette::Highlight) != standard.color(QPalette::Highlight);
        application.setPalette(chosen ? stated : isDark(stated) ? darkPalette() : lightPalette());
        return;
    }
    application.setPalette(appearance == Appearance::dark ? darkPalette() : lightPalette());
}

void applyTextPercent(QApplication& application, int percent) {
    QFont font = desktopFont();
    if (font.pointSizeF() > 0.0) {
        font.setPointSizeF(font.pointSizeF() * percent / 100.0);
    } else {
        font.setPixelSize(std::max(6, font.pixelSize() * percent / 100));
    }
    application.setFont(font);
}

bool isDark(const QPalette& palette) {
    return palette.color(QPalette::Base).lightnessF() < palette.color(QPalette::Text).lightnessF();
}

QColor mixed(const QColor& a, const QColor& b, double share_of_b) {
    const auto share = static_cast<float>(share_of_b);
    const auto mix = [share](float x, float y) { return x + (y - x) * share; };
    return QColor::fromRgbF(mix(a.redF(), b.redF()), mix(a.greenF(), b.greenF()), mix(a.blueF(), b.blueF()));
}

double contrastRatio(const QColor& a, const QColor& b) {
    const auto linear = [](double channel) {
        return channel <= 0.04045 ? channel / 12.92 : std::pow((channel + 0.055) / 1.055, 2.4);
    };
    const auto luminance = [&](const QColor& c) {
        return 0.2126 * linear(static_cast<double>(c.redF())) + 0.7152 * linear(static_cast<double>(c.greenF())) +
               0.0722 * linear(static_cast<double>(c.blueF()));
    };
    const double x = luminance(a);
    const double y = luminance(b);
    return (std::max(x, y) + 0.05) / (std::min(x, y) + 0.05);
}

QColor quietText(const QPalette& palette) {
    const QColor text = palette.color(QPalette::WindowText);
    const QColor ground = panelGround(palette);
    for (double share = 0.40; share > 0.0; share -= 0.05) {
        const QColor quiet = mixed(text, ground, share);
        if (contrastRatio(quiet, ground) >= 4.6) {
            return quiet;
        }
    }
    return text;
}

QColor hairline(const QPalette& palette) {
    return mixed(palette.color(QPalette::Window), palette.color(QPalette::WindowText), isDark(palette) ? 0.16 : 0.13);
}

QColor panelGround(const QPalette& palette) {
    return palette.color(QPalette::Window);
}

} // namespace potwatch::window
