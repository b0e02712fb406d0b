// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <charconv>
#include <fstream>
#include <map>
#include <stdexcept>
#include <string>
#include <system_error>
#include <vector>

// Reads the plain comma-separated tables in tests/reference/data: a header line, no quotes.
namespace potwatch::reference {

class Table {
public:
    explicit Table(const std::string& name)
        : Table(std::ifstream(std::string(POTWATCH_SOURCE_DIR) + "/tests/reference/data/" + name)) {}

    // A table that lies elsewhere.
    [[nodiscard]] static Table at(const std::string& path) { return Table(std::ifstream(path)); }

    [[nodiscard]] std::vector<std::string> columns() const {
        std::vector<std::string> names;
        for (const auto& [name, index] : column_) {
            names.push_back(name);
        }
        return names;
    }

    [[nodiscard]] std::size_t size() const { return rows_.size(); }

    [[nodiscard]] const std::string& text(std::size_t row, const std::string& column) const {
        return rows_.at(row).at(column_.at(column));
    }

    [[nodiscard]] double number(std::size_t row, const std::string& column) const {
        return numberIn(text(row, column));
    }

    [[nodiscard]] std::vector<double> numbers(const std::string& column) const {
        std::vector<double> result;
        for (std::size_t row = 0; row < size(); ++row) {
            result.push_back(number(row, column));
        }
        return result;
    }

    [[nodiscard]] static double numberIn(const std::string& text) {
        double value = 0.0;
        const auto parsed = std::from_chars(text.data(), text.data() + text.size(), value);
        if (parsed.ec != std::errc{}) {
            throw std::invalid_argument("not a number: " + text);
        }
        return value;
    }

private:
    explicit Table(std::ifstream file) {
        std::string line;
        std::getline(file, line);
        const std::vector<std::string> names = cells(line);
        for (std::size_t i = 0; i < names.size(); ++i) {
            column_[names[i]] = i;
        }
        while (std::getline(file, line)) {
            if (!line.empty()) {
                rows_.push_back(cells(line));
            }
        }
    }

    static std::vector<std::string> cells(const std::string& line) {
        std::vector<std::string> result(1);
        for (const char c : line) {
            if (c == ',') {
                result.emplace_back();
            } else if (c != '\r') {
                result.back() += c;
            }
        }
        return result;
    }

    std::map<std::string, std::size_t> column_;
    std::vector<std::vector<std::string>> rows_;
};

} // namespace potwatch::reference
