// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/io/book/book_folder.h"

#include <bit>
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <iterator>
#include <limits>
#include <random>
#include <sqlite3.h>

namespace potwatch::book {
namespace {

bool sameBits(const std::vector<double>& a, const std::vector<double>& b) {
    if (a.size() != b.size()) {
        return false;
    }
    for (std::size_t i = 0; i < a.size(); ++i) {
        if (std::bit_cast<std::uint64_t>(a[i]) != std::bit_cast<std::uint64_t>(b[i])) {
            return false;
        }
    }
    return true;
}

} // namespace

void BookFolder::SetUp() {
    std::string pattern = (std::filesystem::temp_directory_path() / "potwatch-book-XXXXXX").string();
    ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
    folder_ = pattern;
}

void BookFolder::TearDown() {
    std::filesystem::remove_all(folder_);
}

std::string BookFolder::file(const std::string& name, std::string_view content) const {
    std::ofstream stream(path(name), std::ios::binary);
    stream.write(content.data(), static_cast<std::streamsize>(content.size()));
    return path(name);
}

Book BookFolder::book(Access access) const {
    Result<Opened> opened = Book::open(bookPath(), access);
    if (!opened) {
        std::cerr << describe(opened.error()) << '\n';
        std::abort();
    }
    for (const std::string& notice : opened->notices) {
        ADD_FAILURE() << notice;
    }
    return std::move(opened->book);
}

potwatch::Run oddRun(const std::string& name, std::size_t samples, unsigned seed) {
    std::mt19937_64 chance(seed);
    std::uniform_real_distribution<double> value(20.0, 120.0);
    potwatch::Run run{.name = name, .file = "logs/" + name + ".csv", .rows_refused = 3};
    run.started = WallTime{.utc_us = 1'773'000'000'123'456, .offset_s = 3600};
    run.channels = {{.name = "pot_c", .unit = "degC"}, {.name = "", .unit = "mV"}};
    for (std::size_t i = 0; i < samples; ++i) {
        run.time_s.push_back(static_cast<double>(i) * 0.1);
        run.channels[0].values.push_back(value(chance));
        run.channels[1].values.push_back(value(chance) / 30.0);
    }
    const auto put = [&](std::size_t at, double odd) {
        if (at < samples) {
            run.channels[1].values[at] = odd;
        }
    };
    put(1, std::numeric_limits<double>::quiet_NaN());
    put(2, std::numeric_limits<double>::infinity());
    put(3, -0.0);
    put(4, std::numeric_limits<double>::denorm_min());
    if (samples > 10) {
        run.time_s[7] = run.time_s[6];
        run.time_s[9] = run.time_s[2];
    }
    return run;
}

Batch statedBatch(const std::string& name) {
    Batch batch{.file = "logs/" + name + ".batch.toml", .name = name};
    batch.started = WallTime{.utc_us = 1'773'000'000'000'000, .offset_s = 3600};
    batch.based_on = "rod 02";
    batch.charge.resin_g = 115.0;
    batch.vessel.name = "beaker 250";
    batch.dose = Dose{.substance = "acid", .total_g = 6.1};
    batch.events = {{.time_s = 180.0, .kind = "dose start"}, {.time_s = 300.5, .kind = "note", .text = "smells"}};
    batch.outcome.void_percent = 0.4;
    return batch;
}

bool sameBits(const potwatch::Run& a, const potwatch::Run& b) {
    if (!sameBits(a.time_s, b.time_s) || a.channels.size() != b.channels.size()) {
        return false;
    }
    for (std::size_t i = 0; i < a.channels.size(); ++i) {
        if (!sameBits(a.channels[i].values, b.channels[i].values)) {
            return false;
        }
    }
    return true;
}

void runSql(const std::string& path, const std::string& sql) {
    sqlite3* database = nullptr;
    EXPECT_EQ(sqlite3_open(path.c_str(), &database), SQLITE_OK);
    EXPECT_EQ(sqlite3_exec(database, sql.c_str(), nullptr, nullptr, nullptr), SQLITE_OK) << sqlite3_errmsg(database);
    sqlite3_close(database);
}

std::string askSql(const std::string& path, const std::string& sql) {
    sqlite3* database = nullptr;
    EXPECT_EQ(sqlite3_open(path.c_str(), &database), SQLITE_OK);
    sqlite3_stmt* statement = nullptr;
    EXPECT_EQ(sqlite3_prepare_v2(database, sql.c_str(), -1, &statement, nullptr), SQLITE_OK)
        << sqlite3_errmsg(database);
    std::string answer;
    if (sqlite3_step(statement) == SQLITE_ROW && sqlite3_column_text(statement, 0) != nullptr) {
        answer = reinterpret_cast<const char*>(sqlite3_column_text(statement, 0));
    }
    sqlite3_finalize(statement);
    sqlite3_close(database);
    return answer;
}

std::string bytesOf(const std::string& path) {
    std::ifstream stream(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), {}};
}

} // namespace potwatch::book
