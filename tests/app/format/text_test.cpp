// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/text.h"

#include <gtest/gtest.h>

namespace potwatch::format {
namespace {

TEST(OneLine, foldsControlCharactersAndBreaksToSpaces) {
    EXPECT_EQ(oneLine("  rod\t03\r\nsecond\x01try \x7f"), "rod 03 second try");
    EXPECT_EQ(oneLine("a\u2028b\u0085c"), "a b c");
}

TEST(OneLine, keepsEveryScript) {
    EXPECT_EQ(oneLine("Probe Ä 樹脂 🙂"), "Probe Ä 樹脂 🙂");
}

TEST(OneLine, replacesWhatIsNotUtf8) {
    EXPECT_EQ(oneLine("caf\xe9"), "caf\ufffd");                 // a Latin-1 letter
    EXPECT_EQ(oneLine("\xc0\xaf"), "\ufffd\ufffd");             // an overlong form
    EXPECT_EQ(oneLine("\xed\xa0\x80"), "\ufffd\ufffd\ufffd");   // a surrogate
    EXPECT_EQ(oneLine("x\xf0\x9f\x99"), "x\ufffd\ufffd\ufffd"); // cut short
    EXPECT_EQ(oneLine("\xef\xbf\xbf"), "\ufffd");               // U+FFFF may not stand in XML
}

TEST(Shortened, cutsWholeCharactersAndSaysSo) {
    EXPECT_EQ(shortened("dose", 4), "dose");
    EXPECT_EQ(shortened("dose start", 6), "dose\u2026");
    EXPECT_EQ(shortened("ÄÖÜäöü", 4), "ÄÖÜ\u2026");
    EXPECT_EQ(shortened("", 4), "");
}

TEST(Escaped, leavesNoMarkup) {
    EXPECT_EQ(escaped("<b a=\"1\">x & 'y'</b>"), "&lt;b a=&quot;1&quot;&gt;x &amp; &#39;y&#39;&lt;/b&gt;");
}

TEST(FileNameOf, isTheLastPart) {
    EXPECT_EQ(fileNameOf("runs/today/cure.csv"), "cure.csv");
    EXPECT_EQ(fileNameOf("cure.csv"), "cure.csv");
}

} // namespace
} // namespace potwatch::format
