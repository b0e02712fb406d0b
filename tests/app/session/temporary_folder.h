// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <string_view>

namespace potwatch::session {

// A folder of its own for each test, gone afterwards.
class TemporaryFolder : public ::testing::Test {
protected:
    void SetUp() override {
        std::string pattern = (std::filesystem::temp_directory_path() / "potwatch-session-XXXXXX").string();
        ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
        folder_ = pattern;
    }
    void TearDown() override { std::filesystem::remove_all(folder_); }

    [[nodiscard]] std::string path(const std::string& name) const { return (folder_ / name).string(); }

    [[nodiscard]] std::string file(const std::string& name, std::string_view content) const {
        std::ofstream stream(path(name), std::ios::binary);
        stream.write(content.data(), static_cast<std::streamsize>(content.size()));
        return path(name);
    }

    [[nodiscard]] std::string contentOf(const std::string& name) const {
        std::ifstream stream(path(name), std::ios::binary);
        return {std::istreambuf_iterator<char>(stream), {}};
    }

    [[nodiscard]] long countFiles() const {
        return std::distance(std::filesystem::directory_iterator(folder_), std::filesystem::directory_iterator());
    }

    std::filesystem::path folder_;
};

} // namespace potwatch::session
