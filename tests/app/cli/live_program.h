// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <string>
#include <sys/types.h>
#include <vector>

namespace potwatch::test {

// The program and its words as exec takes them, which live as long as they do.
class Arguments {
public:
    explicit Arguments(const std::vector<std::string>& words);
    Arguments(const Arguments&) = delete;
    Arguments& operator=(const Arguments&) = delete;
    [[nodiscard]] char* const* get() const { return pointers_.data(); }

private:
    std::vector<std::string> words_;
    std::vector<char*> pointers_;
};

// The potwatch program while it runs: what it prints goes into files beside each other in `folder`.
class LiveProgram {
public:
    LiveProgram(const std::string& folder, const std::vector<std::string>& words);
    ~LiveProgram(); // kills it where it still runs
    LiveProgram(const LiveProgram&) = delete;
    LiveProgram& operator=(const LiveProgram&) = delete;

    void signal(int number) const;
    // Waits for its end, 60 s at the most; the exit code, or 1000 and the number of the signal.
    int wait();
    [[nodiscard]] std::string out() const;
    [[nodiscard]] std::string err() const;
    // Waits until it has printed a text, 20 s at the most.
    [[nodiscard]] bool hasSaid(const std::string& text) const;
    // The time of processors that it has used so far.
    [[nodiscard]] double cpuSeconds() const;

private:
    std::string out_;
    std::string err_;
    pid_t process_ = -1;
};

} // namespace potwatch::test
