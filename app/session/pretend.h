// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "io/serial/byte_source.h"

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <random>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::session {

// How a pretend device builds its lines.
enum class PretendStyle { comma, semicolon, blank, tab, header, units, key_value, json, crlf, checksum };

// What goes wrong with it, at the times of real seconds that stand here.
enum class PretendFault {
    garbage,     // one byte in a hundred is another one, which is neither digit nor sign nor mark
    half_lines,  // one line in twenty breaks off in the middle, without an end
    bursts,      // ten lines come at once
    silence,     // nothing for 10 s of every 40 s
    hang_up,     // it is gone for 3 s of every 20 s
    open_sensor, // the last channel says OPEN for 10 s of every 40 s
    spikes       // one value in a hundred is 150 K too high
};

struct PretendWanted {
    double rate_hz = 2.0; // lines a second of real time
    std::size_t channels = 2;
    PretendStyle style = PretendStyle::comma;
    double speed = 1.0; // seconds of the cure in one second of real time
    std::vector<PretendFault> faults;
    std::string csv; // a table to play; empty = a model cure
    std::uint64_t seed = 1;
};

// The words of --style and --fault; nothing where there is no such style or fault.
[[nodiscard]] std::optional<PretendStyle> pretendStyleOf(std::string_view word);
[[nodiscard]] std::optional<PretendFault> pretendFaultOf(std::string_view word);
[[nodiscard]] const std::vector<std::string>& pretendStyleWords();
[[nodiscard]] const std::vector<std::string>& pretendFaultWords();

// What a thermometer on a cooking pot sends. The model cure is a casting of the sample scenario (sample_scenario.h):
// the first channel is the pot, the second the air, the others lie in between, as near the wall. Past its end the last
// row is sent on and on. Equal wishes give equal bytes. It has no clock: whoever plays it waits.
class PretendDevice {
public:
    // Errors: range (rate, channels or speed that cannot be); those of the importer and of the model.
    [[nodiscard]] static Result<PretendDevice> make(const PretendWanted& wanted);

    // The next thing that it does, and when, in real seconds from its start.
    struct Step {
        double at_s = 0.0;
        std::string line;        // as meant, without its end and without what goes wrong
        std::string bytes;       // as sent
        bool is_hung_up = false; // it is gone, until a step in which it is not
    };
    [[nodiscard]] Step next();

private:
    struct Table { // what is played: a row every `interval_s` of the cure
        double interval_s = 1.0;
        std::vector<std::vector<double>> rows;
    };

    PretendDevice(const PretendWanted& wanted, Table table);
    [[nodiscard]] static Result<Table> modelCure(const PretendWanted& wanted);
    [[nodiscard]] static Result<Table> tableOf(const PretendWanted& wanted);
    [[nodiscard]] bool has(PretendFault fault) const;
    [[nodiscard]] bool isWithin(PretendFault fault, double at_s) const;
    [[nodiscard]] std::vector<double> valuesAt(double cure_s) const;
    [[nodiscard]] std::string lineOf(const std::vector<double>& values, bool last_is_open) const;
    void spoil(std::string& bytes);

    PretendWanted wanted_;
    Table table_;
    std::mt19937_64 chance_;
    std::size_t step_ = 0;
};

// The same device within this program: no port, no second terminal.
[[nodiscard]] Result<std::unique_ptr<serial::ByteSource>> pretendSource(const PretendWanted& wanted);

} // namespace potwatch::session
