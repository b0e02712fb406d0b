// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/memory.h"
#include "tests/app/session/temporary_folder.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>

namespace potwatch::session {
namespace {

using testing::HasSubstr;

using MemoryForAFile = TemporaryFolder;

TEST(Memory, readsWhatTheKernelCallsAvailable) {
    EXPECT_EQ(freeMemoryIn("MemTotal:  100 kB\nMemFree:  10 kB\nMemAvailable:    2048 kB\n"), 2048U * 1024U);
    EXPECT_EQ(freeMemoryIn("MemTotal:  100 kB\n"), std::nullopt);
    EXPECT_EQ(freeMemoryIn("MemAvailable: lots\n"), std::nullopt);
}

TEST(Memory, saysSizesShortly) {
    EXPECT_EQ(bytesText(1'840'000'000), "1.8 GB");
    EXPECT_EQ(bytesText(64'000'000), "64 MB");
}

TEST_F(MemoryForAFile, thatDoesNotFitIsRefusedWithWhatItTakes) {
    const std::string file = this->file("large.csv", "time_s,pot_c\n");
    std::filesystem::resize_file(file, 2'000'000'000); // sparse: takes no room
    const Result<void> refused = checkMemoryFor(file, 1'000'000'000);
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().kind, FaultKind::input);
    EXPECT_THAT(refused.error().what, HasSubstr("takes about 3.2 GB of memory, and 1.0 GB are free"));
    EXPECT_THAT(refused.error().remedy, HasSubstr("cut the file into parts"));
    EXPECT_TRUE(checkMemoryFor(file, 8'000'000'000));
    EXPECT_TRUE(checkMemoryFor(file, std::nullopt)) << "where nothing is known of the memory, the reader tries";
}

} // namespace
} // namespace potwatch::session
