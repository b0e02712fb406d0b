// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/settings_folder.h"

#include "app/session/book_runs.h"

#include <cstdlib>
#include <filesystem>

namespace potwatch::session {

namespace fs = std::filesystem;

Environment processEnvironment() {
    return [](const char* name) {
        const char* const value = std::getenv(name);
        return value == nullptr ? std::string() : std::string(value);
    };
}

std::string settingsFolder(const Environment& environment) {
    const std::string stated = environment("XDG_CONFIG_HOME");
    const fs::path base = fs::path(stated).is_absolute() ? fs::path(stated) : fs::path(environment("HOME")) / ".config";
    return (base / "potwatch").string();
}

std::string demoBookPath() {
    const fs::path folder = fs::path(defaultBookPath()).parent_path();
    return (folder.empty() ? fs::temp_directory_path() : folder) / ("demo" + std::string(book_ending));
}

} // namespace potwatch::session
