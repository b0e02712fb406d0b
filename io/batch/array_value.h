// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/batch/value.h"

#include <cstddef>
#include <string>
#include <variant>
#include <vector>

namespace potwatch::batch {

// An array whose elements are all of one type.
template<class T>
struct Value<std::vector<T>> {
    static bool read(const Item& item, const std::string& key, const Where& where, std::vector<T>& into,
                     Reading& reading) {
        const auto* const list = std::get_if<List>(&item.value);
        if (list == nullptr) {
            reading.wrongType(key, where, item, "an array", fmt::format("write {} = [ ... ]", key));
            return false;
        }
        bool good = true;
        for (const Item& element : list->items) {
            good = Value<T>::read(element, key, where, into.emplace_back(), reading) && good;
        }
        return good;
    }

    static std::string literal(const std::vector<T>& values) {
        if (values.empty()) {
            return {};
        }
        std::string out = "[";
        for (std::size_t i = 0; i < values.size(); ++i) {
            out += (i == 0 ? "" : ", ") + Value<T>::literal(values[i]);
        }
        return out + "]";
    }
};

} // namespace potwatch::batch
