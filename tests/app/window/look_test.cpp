// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/look.h"

#include <gtest/gtest.h>

namespace potwatch::window {
namespace {

// Text at least 4.5:1 on its ground. Source: WCAG 2.1, success criterion 1.4.3 (AA).
constexpr double least_contrast = 4.5;

TEST(Look, readsTheContrastOfKnownPairs) {
    EXPECT_NEAR(contrastRatio(Qt::black, Qt::white), 21.0, 1e-3);
    // Source: #767676 on white is the lightest grey that passes; common practice.
    EXPECT_NEAR(contrastRatio(QColor(0x76, 0x76, 0x76), Qt::white), 4.54, 0.01);
}

TEST(Look, keepsTextReadableInBothPalettes) {
    for (const QPalette& palette : {lightPalette(), darkPalette()}) {
        const auto ratio = [&](QPalette::ColorRole text, QPalette::ColorRole ground) {
            return contrastRatio(palette.color(text), palette.color(ground));
        };
        EXPECT_GE(ratio(QPalette::WindowText, QPalette::Window), least_contrast);
        EXPECT_GE(ratio(QPalette::Text, QPalette::Base), least_contrast);
        EXPECT_GE(ratio(QPalette::Text, QPalette::AlternateBase), least_contrast);
        EXPECT_GE(ratio(QPalette::ButtonText, QPalette::Button), least_contrast);
        EXPECT_GE(ratio(QPalette::HighlightedText, QPalette::Highlight), least_contrast);
        EXPECT_GE(ratio(QPalette::PlaceholderText, QPalette::Base), least_contrast);
        EXPECT_GE(ratio(QPalette::Link, QPalette::Window), least_contrast);
        EXPECT_GE(contrastRatio(quietText(palette), panelGround(palette)), least_contrast);
    }
}

TEST(Look, knowsDarkFromLight) {
    EXPECT_TRUE(isDark(darkPalette()));
    EXPECT_FALSE(isDark(lightPalette()));
}

} // namespace
} // namespace potwatch::window
