// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/json_line.h"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>

namespace potwatch::serial {
namespace {

using Json = nlohmann::ordered_json;

// Nested deeper than that it is no device's line.
constexpr int deepest = 8;

bool gather(const Json& value, const std::string& name, int depth, std::vector<JsonMember>& members) {
    if (depth > deepest) {
        return false;
    }
    if (value.is_object()) {
        for (const auto& [key, inner] : value.items()) {
            if (!gather(inner, name.empty() ? key : name + "." + key, depth + 1, members)) {
                return false;
            }
        }
        return true;
    }
    if (value.is_array()) {
        for (std::size_t i = 0; i < value.size(); ++i) {
            if (!gather(value[i], name + "." + std::to_string(i + 1), depth + 1, members)) {
                return false;
            }
        }
        return true;
    }
    JsonMember member{.name = name, .number = {}, .text = {}};
    if (value.is_number()) {
        member.number = value.get<double>();
    } else if (value.is_string()) {
        member.text = value.get<std::string>();
    } else {
        member.text = value.is_null() ? "null" : value.dump();
    }
    members.push_back(std::move(member));
    return !members.back().number || std::isfinite(*members.back().number);
}

} // namespace

std::optional<std::vector<JsonMember>> jsonMembers(std::string_view line) {
    // The parser itself keeps the last of two equal names; which of them is meant cannot be known.
    std::vector<std::vector<std::string>> names;
    bool is_twofold = false;
    const auto watch = [&](int, Json::parse_event_t event, Json& parsed) {
        if (event == Json::parse_event_t::object_start) {
            names.emplace_back();
        } else if (event == Json::parse_event_t::object_end && !names.empty()) {
            names.pop_back();
        } else if (event == Json::parse_event_t::key && !names.empty()) {
            const auto name = parsed.get<std::string>();
            is_twofold = is_twofold || std::find(names.back().begin(), names.back().end(), name) != names.back().end();
            names.back().push_back(name);
        }
        return true;
    };
    const Json object = Json::parse(line, watch, false);
    std::vector<JsonMember> members;
    if (!object.is_object() || is_twofold || !gather(object, "", 0, members)) {
        return std::nullopt;
    }
    return members;
}

} // namespace potwatch::serial
