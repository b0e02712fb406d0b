// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/command_line.h"

namespace potwatch::cli {

int run(int, char**)
{
    return 2;
}

} // namespace potwatch::cli
