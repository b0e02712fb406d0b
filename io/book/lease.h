// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <optional>
#include <string>

namespace potwatch::book {

// The right to write one run: a file beside the book, locked by whoever records the run (FORMAT.md). The system lets
// the lock go when its process ends, however it ends, so that a run without a locked lease has no recorder any more.
class Lease {
public:
    // Takes it; nothing where another recorder, in this process or another, holds it. A file system without locks is
    // asked less: there the lease of an earlier start of the machine is free, any other is held.
    // Errors: storage (the file cannot be made).
    [[nodiscard]] static Result<std::optional<Lease>> take(const std::string& book, const std::string& run);

    // Takes the file away: the run is over.
    void release();

    ~Lease();
    Lease(Lease&& other) noexcept;
    Lease& operator=(Lease&& other) noexcept;

private:
    Lease(std::string path, int descriptor);
    void close();

    std::string path_;
    int descriptor_ = -1;
};

[[nodiscard]] std::string leasePath(const std::string& book, const std::string& run);

} // namespace potwatch::book
