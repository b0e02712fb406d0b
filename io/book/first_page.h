// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

namespace potwatch::book {

// Puts the first page of a book's file together again from the other pages, so that SQLite can open it. The first page
// holds the file's header and where the list of tables begins; the list itself lies on other pages of any book, since
// it is longer than a page, and each of its rows is known by its form. Changes the file: to be done to a copy that is
// alone. False: no list of tables was found. Source: the SQLite file format, 1.3 (header), 1.6 (interior pages of a
// table), 2.6 (the schema table).
[[nodiscard]] bool mendFirstPage(const std::string& copy);

} // namespace potwatch::book
