// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>

namespace potwatch::book {

// Stands between SQLite and the disk, for as long as it lives and for every database that is opened meanwhile, and
// makes one of the operations that change something fail: a write, a sync, a cut, an opening of a file, a lock of the
// journal's index. Threads: any; what is
// to fail may change while another thread writes.
class FailingDisk {
public:
    FailingDisk();
    ~FailingDisk();
    FailingDisk(const FailingDisk&) = delete;
    FailingDisk& operator=(const FailingDisk&) = delete;

    enum class Failure { inputOutput, full };

    // From the k-th operation on (counted from 1) that one fails; the later ones too, if `for_good`.
    void failAt(std::size_t operation, Failure failure, bool for_good);
    void failNothing();

    [[nodiscard]] std::size_t operations() const; // since failAt() or failNothing()
    [[nodiscard]] bool hasFailed() const;
};

} // namespace potwatch::book
