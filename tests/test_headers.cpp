// SPDX-License-Identifier: GPL-3.0-or-later
// The object that carries the precompiled headers of the tests.
