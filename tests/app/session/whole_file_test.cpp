// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/whole_file.h"
#include "tests/app/session/temporary_folder.h"

#include <gmock/gmock.h>

namespace potwatch::session {
namespace {

using WholeFile = TemporaryFolder;

TEST_F(WholeFile, replacesWhatIsThereAndLeavesNothingElse) {
    const std::string target = file("a.txt", "old");
    ASSERT_TRUE(writeWholeFile(target, "new content"));
    EXPECT_EQ(contentOf("a.txt"), "new content");
    EXPECT_EQ(countFiles(), 1);
}

TEST_F(WholeFile, namesTheFolderThatIsMissing) {
    const Result<void> result = writeWholeFile(path("no/a.txt"), "x");
    ASSERT_FALSE(result);
    EXPECT_EQ(result.error().kind, FaultKind::storage);
    EXPECT_EQ(result.error().where.file, path("no/a.txt"));
    EXPECT_THAT(result.error().remedy, ::testing::HasSubstr("folder"));
    EXPECT_EQ(countFiles(), 0);
}

TEST_F(WholeFile, doesNotReplaceAFolder) {
    EXPECT_FALSE(writeWholeFile(folder_.string(), "x"));
    EXPECT_TRUE(std::filesystem::is_directory(folder_));
}

TEST_F(WholeFile, keepsALinkPointingWhereItPoints) {
    const std::string target = file("real.txt", "old");
    std::filesystem::create_symlink(target, path("link.txt"));
    ASSERT_TRUE(writeWholeFile(path("link.txt"), "new"));
    EXPECT_TRUE(std::filesystem::is_symlink(path("link.txt")));
    EXPECT_EQ(contentOf("real.txt"), "new");
}

TEST_F(WholeFile, writesStraightIntoWhatIsNoPlainFile) {
    EXPECT_TRUE(writeWholeFile("/dev/null", "x"));
    const Result<void> full = writeWholeFile("/dev/full", "x");
    ASSERT_FALSE(full);
    EXPECT_EQ(full.error().kind, FaultKind::storage);
}

} // namespace
} // namespace potwatch::session
