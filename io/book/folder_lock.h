// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

namespace potwatch::book {

// Lets one program at a time open the books of a folder: between a look at a book that nobody has open and the moment
// from which others see that it is open, nothing may come between. A lock on the folder itself, so that no file is left
// behind. Where it cannot be had (a file system without such locks, a program that does not give it back) it is done
// without.
class FolderLock {
public:
    explicit FolderLock(const std::string& folder); // waits some seconds at the most
    ~FolderLock();
    FolderLock(const FolderLock&) = delete;
    FolderLock& operator=(const FolderLock&) = delete;

private:
    int descriptor_ = -1;
};

} // namespace potwatch::book
