// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <string_view>

namespace potwatch::session {

// The letter by which an event is entered while a run is recorded, the same in the window and in a terminal.
struct EventKey {
    char key;
    std::string_view kind;
};

inline constexpr std::array<EventKey, 8> event_keys{{{'d', "dose start"},
                                                     {'e', "dose end"},
                                                     {'s', "stirrer off"},
                                                     {'p', "pour"},
                                                     {'g', "gel"},
                                                     {'f', "foam"},
                                                     {'h', "heat off"},
                                                     {'n', "note"}}};
inline constexpr char drop_key = 'o'; // one drop of the dose (dose.steps)
inline constexpr char undo_key = 'u';

} // namespace potwatch::session
