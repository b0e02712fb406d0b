// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/command_line.h"

#include <cstdlib>
#ifdef __GLIBC__
#include <malloc.h>
#endif

namespace {

// An analysis takes and gives back arrays as long as the trace, again and again. Each time the C library would give
// them back to the system and fault them in anew, which is a quarter of the time of a short run.
void keepFreedMemory() {
#ifdef __GLIBC__
    constexpr int kept_bytes = 32 << 20; // the largest that the library takes for a threshold
    mallopt(M_MMAP_THRESHOLD, kept_bytes);
    mallopt(M_TRIM_THRESHOLD, 2 * kept_bytes);
#endif
}

} // namespace

int main(int argc, char** argv) {
    keepFreedMemory();
    return potwatch::cli::run(argc, argv);
}
