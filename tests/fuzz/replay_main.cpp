// SPDX-License-Identifier: GPL-3.0-or-later
// Runs a fuzz harness over every file of the folders and files given as arguments, so that a corpus is replayed in the
// ordinary test run under any compiler. A harness that meets a fault aborts; the name printed last is the file that did
// it. Exit: 0 all files ran; 1 a path cannot be read or there was no file at all (a replay of nothing proves nothing).

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <exception>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>
#include <string>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

std::vector<std::filesystem::path> filesOf(const std::filesystem::path& given) {
    if (!std::filesystem::is_directory(given)) {
        return {given};
    }
    std::vector<std::filesystem::path> files;
    for (const std::filesystem::directory_entry& entry : std::filesystem::recursive_directory_iterator(given)) {
        if (entry.is_regular_file()) {
            files.push_back(entry.path());
        }
    }
    std::sort(files.begin(), files.end());
    return files;
}

void replay(const std::filesystem::path& file) {
    std::ifstream stream(file, std::ios::binary);
    if (!stream) {
        throw std::filesystem::filesystem_error("cannot open", file, std::make_error_code(std::errc::io_error));
    }
    const std::vector<char> bytes((std::istreambuf_iterator<char>(stream)), std::istreambuf_iterator<char>());
    // An own copy of exactly this size, so that the address sanitizer sees a read past the end.
    const std::vector<std::uint8_t> data(bytes.begin(), bytes.end());
    std::cout << file.string() << " (" << data.size() << " bytes)" << std::endl;
    LLVMFuzzerTestOneInput(data.data(), data.size());
}

} // namespace

int main(int argc, char** argv) {
    std::size_t count = 0;
    try {
        for (int i = 1; i < argc; ++i) {
            for (const std::filesystem::path& file : filesOf(argv[i])) {
                replay(file);
                ++count;
            }
        }
    } catch (const std::exception& error) {
        std::cerr << error.what() << '\n';
        return 1;
    }
    std::cout << count << " inputs replayed\n";
    return count > 0 ? 0 : 1;
}
