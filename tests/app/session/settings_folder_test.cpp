// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/book_runs.h"
#include "app/session/settings_folder.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>

namespace potwatch::session {
namespace {

Environment with(std::map<std::string, std::string> variables) {
    return [variables](const char* name) {
        const auto found = variables.find(name);
        return found == variables.end() ? std::string() : found->second;
    };
}

TEST(SettingsFolder, liesBelowHomeWhereNothingElseIsSaid) {
    EXPECT_EQ(settingsFolder(with({{"HOME", "/home/maker"}})), "/home/maker/.config/potwatch");
    EXPECT_EQ(settingsFolder(with({{"HOME", "/home/maker"}, {"XDG_CONFIG_HOME", "relative"}})),
              "/home/maker/.config/potwatch");
}

TEST(SettingsFolder, followsTheVariableWhereItIsAbsolute) {
    EXPECT_EQ(settingsFolder(with({{"HOME", "/home/maker"}, {"XDG_CONFIG_HOME", "/settings"}})), "/settings/potwatch");
}

TEST(DemoBook, isAnotherThanTheDefaultBook) {
    EXPECT_NE(demoBookPath(), defaultBookPath());
    EXPECT_THAT(demoBookPath(), testing::EndsWith("demo.potbook"));
}

} // namespace
} // namespace potwatch::session
