// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/output.h"
#include "app/cli/text_table.h"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <vector>

namespace potwatch::cli {
namespace {

TEST(Wrapped, breaksAtSpacesAndIndentsWhatFollows) {
    EXPECT_EQ(wrapped("one two three", 2, 9), "one two\n  three");
    EXPECT_EQ(wrapped("one", 2, 9), "one");
    EXPECT_EQ(wrapped("", 2, 9), "");
}

TEST(Wrapped, leavesAWordThatIsTooLongWhole) {
    EXPECT_EQ(wrapped("a verylongword b", 0, 5), "a\nverylongword\nb");
}

TEST(Wrapped, countsCharactersNotBytes) {
    EXPECT_EQ(wrapped("°°°° °°°°", 0, 9), "°°°° °°°°");
    EXPECT_EQ(columnsOf("1 °C ± 2"), 8U);
}

TEST(TextTable, alignsColumnsWhateverTheirCharacters) {
    const std::vector<std::vector<std::string>> rows{{"run", "peak"}, {"a", "1 °C"}, {"long", "2"}};
    EXPECT_EQ(tableText(rows), "  run   peak\n  a     1 °C\n  long  2\n");
}

TEST(FaultsJson, hasNullForWhatIsNotKnown) {
    const std::vector<Fault> faults{
        {.kind = FaultKind::range, .what = "too hot", .where = {.file = "a.csv", .line = 7}}};
    const nlohmann::ordered_json list = faultsJson(faults);
    EXPECT_EQ(list.at(0).at("kind"), "range");
    EXPECT_EQ(list.at(0).at("line"), 7);
    EXPECT_TRUE(list.at(0).at("remedy").is_null());
}

} // namespace
} // namespace potwatch::cli
