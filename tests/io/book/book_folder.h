// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/book/book.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace potwatch::book {

// A folder of its own for each test, gone afterwards, and the small vocabulary of tests about a book in it.
class BookFolder : public ::testing::Test {
protected:
    void SetUp() override;
    void TearDown() override;

    [[nodiscard]] std::string path(const std::string& name) const { return (folder_ / name).string(); }
    [[nodiscard]] std::string bookPath() const { return path("rods.potbook"); }
    std::string file(const std::string& name, std::string_view content) const;

    // Opened with no fault and no notice, else the test fails and the process ends.
    [[nodiscard]] Book book(Access access = Access::create) const;

    std::filesystem::path folder_;
};

// A run of two channels with a value for every oddity: NaN, both infinities, minus zero, repeated and backward times.
// Shape: as many samples as asked for; different seeds give different values. Invented.
[[nodiscard]] potwatch::Run oddRun(const std::string& name, std::size_t samples, unsigned seed = 1);

// A batch in which much is stated.
[[nodiscard]] Batch statedBatch(const std::string& name);

// Whether all doubles of the two are the same bit for bit, NaN included.
[[nodiscard]] bool sameBits(const potwatch::Run& a, const potwatch::Run& b);

// Runs one SQL text on the file, as another program would.
void runSql(const std::string& path, const std::string& sql);

// The first value of the first row.
[[nodiscard]] std::string askSql(const std::string& path, const std::string& sql);

[[nodiscard]] std::string bytesOf(const std::string& path);

} // namespace potwatch::book
