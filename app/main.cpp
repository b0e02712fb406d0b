// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/command_line.h"

int main(int argc, char** argv)
{
    return potwatch::cli::run(argc, argv);
}
