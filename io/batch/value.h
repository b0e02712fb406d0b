// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "io/batch/document.h"
#include "io/batch/nearest.h"
#include "io/batch/reading.h"

#include <fmt/format.h>

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

namespace potwatch::batch {

// How each type of a member stands in TOML. Value<T> has
//   read(item, key, where, into, reading)  false, and a fault in reading, where the item is no T;
//   literal(value)                         the TOML text that reads back equal; empty where nothing is stated.
template<class T>
struct Value;

// The words of a choice, in the order in which messages name them. Specialised beside the format.
template<class T>
struct Words;

template<>
struct Value<double> {
    [[nodiscard]] static bool read(const Item& item, const std::string& key, const Where& where, double& into,
                                   Reading& reading);
    [[nodiscard]] static std::string literal(double value);
};

template<>
struct Value<std::string> {
    [[nodiscard]] static bool read(const Item& item, const std::string& key, const Where& where, std::string& into,
                                   Reading& reading);
    [[nodiscard]] static std::string literal(const std::string& value);
};

template<>
struct Value<bool> {
    [[nodiscard]] static bool read(const Item& item, const std::string& key, const Where& where, bool& into,
                                   Reading& reading);
    [[nodiscard]] static std::string literal(bool value); // false is the same as not stated
};

template<>
struct Value<WallTime> {
    [[nodiscard]] static bool read(const Item& item, const std::string& key, const Where& where, WallTime& into,
                                   Reading& reading);
    // An offset is cut to whole minutes; empty outside the years 0 to 9999, which TOML cannot write.
    [[nodiscard]] static std::string literal(const WallTime& value);
};

// Index of the word that the item states; a fault that names the nearest word, or all of them, where it states none.
[[nodiscard]] std::optional<std::size_t> readWord(const Item& item, const std::string& key, const Where& where,
                                                  const std::vector<std::string>& words, Reading& reading);

// A choice: Words<T>::all is an array of pairs of word and value.
template<class T>
requires requires {
    Words<T>::all;
}
struct Value<T> {
    [[nodiscard]] static bool read(const Item& item, const std::string& key, const Where& where, T& into,
                                   Reading& reading) {
        std::vector<std::string> words;
        words.reserve(Words<T>::all.size());
        for (const auto& word : Words<T>::all) {
            words.emplace_back(word.first);
        }
        const std::optional<std::size_t> index = readWord(item, key, where, words, reading);
        if (index) {
            into = Words<T>::all[*index].second;
        }
        return index.has_value();
    }

    [[nodiscard]] static std::string literal(T value) {
        for (const auto& word : Words<T>::all) {
            if (word.second == value) {
                return fmt::format("\"{}\"", word.first);
            }
        }
        return {};
    }
};

template<class T>
struct Value<std::optional<T>> {
    [[nodiscard]] static bool read(const Item& item, const std::string& key, const Where& where, std::optional<T>& into,
                                   Reading& reading) {
        return Value<T>::read(item, key, where, into.emplace(), reading);
    }

    [[nodiscard]] static std::string literal(const std::optional<T>& value) {
        return value ? Value<T>::literal(*value) : std::string();
    }
};

} // namespace potwatch::batch
