// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/decimation.h"
#include "app/report/drawing.h"
#include "app/report/pyramid.h"
#include "app/window/chart/chart_view.h"

#include <QApplication>
#include <QElapsedTimer>
#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <functional>
#include <memory>
#include <random>
#include <string>
#include <string_view>
#include <vector>

// The chart of the window with four traces of up to 10^7 samples, noise on each, drawn without a display.
//
// Thresholds, at 1280x800 and 10^7 samples a trace: 300 frames of panning and zooming, each laid out and painted, 99th
// percentile under 16.7 ms; the first picture under 1 s after the data are in memory; memory that it takes for that
// under half of the samples themselves. `chart_bench --check` alone prints PASS or FAIL for each, and ends with a
// failure where one fails.

namespace {

using namespace potwatch;

constexpr std::size_t whole = 10'000'000;
constexpr int frames = 300;
constexpr double most_frame_ms = 16.7;
constexpr double most_first_s = 1.0;
constexpr double most_memory_ratio = 0.5;
constexpr double traces_and_time = 5.0;

std::shared_ptr<const Analysis> noisyRun(std::size_t count) {
    auto made = std::make_shared<Analysis>();
    std::mt19937_64 random(7);
    std::uniform_real_distribution<double> noise(-1.0, 1.0);
    Series& series = made->series;
    for (auto* const values :
         {&series.time_s, &series.temperature_c, &series.rate_k_per_min, &series.power_w, &series.degree}) {
        values->reserve(count);
    }
    const double scale = 1.0 / static_cast<double>(count);
    for (std::size_t i = 0; i < count; ++i) {
        const double x = (static_cast<double>(i) * scale - 0.4) / 0.03;
        const double y = 1.0 / (1.0 + std::exp(-x));
        series.time_s.push_back(0.1 * static_cast<double>(i));
        series.temperature_c.push_back(22.0 + 60.0 * y + 0.3 * noise(random));
        series.rate_k_per_min.push_back(20.0 * y * (1.0 - y) + 0.4 * noise(random));
        series.power_w.push_back(400.0 * y * (1.0 - y) + 4.0 * noise(random));
        series.degree.push_back(y);
    }
    Findings& findings = made->findings;
    findings.run = "noise";
    findings.channel = "pot_c";
    findings.samples = {.kept = count, .refused = 0, .span_s = series.time_s.back(), .median_interval_s = 0.1};
    const auto landmark = [&](double part) {
        const auto i = static_cast<std::size_t>(part * static_cast<double>(count));
        return Landmark{.time_s = normalEstimate(series.time_s[i], 10.0),
                        .temperature_c = normalEstimate(series.temperature_c[i], 0.3)};
    };
    findings.landmarks.onset = landmark(0.35);
    findings.landmarks.end = landmark(0.6);
    made->events = {{.time_s = 0.1 * series.time_s.back(), .kind = "dose start", .text = ""}};
    return made;
}

const std::shared_ptr<const Analysis>& runOf(std::size_t count) {
    static std::size_t kept = 0;
    static std::shared_ptr<const Analysis> run;
    if (kept != count) {
        run.reset();
        run = noisyRun(count);
        kept = count;
    }
    return run;
}

std::unique_ptr<window::ChartView> chartWith(const std::shared_ptr<const Analysis>& run) {
    auto chart = std::make_unique<window::ChartView>();
    chart->resize(1280, 800);
    chart->show();
    QApplication::processEvents();
    chart->setAnalysis(run);
    while (chart->isBusy()) {
        QApplication::processEvents(QEventLoop::WaitForMoreEvents, 5);
    }
    chart->repaint();
    return chart;
}

// The view of a frame: in and out between the whole run and a few thousand samples, and along.
report::Range viewOf(int frame, const Series& series) {
    const double length_s = series.time_s.back();
    const double depth = 0.5 - 0.5 * std::cos(2.0 * 3.14159265358979 * frame / 150.0);
    const double width_s = length_s * std::pow(1e-4, depth);
    const double middle_s = length_s * (0.2 + 0.5 * frame / frames);
    return {.low = middle_s - 0.5 * width_s, .high = middle_s + 0.5 * width_s};
}

void panAndZoom(benchmark::State& state) {
    const auto& run = runOf(static_cast<std::size_t>(state.range(0)));
    const auto chart = chartWith(run);
    int frame = 0;
    for ([[maybe_unused]] auto turn : state) {
        chart->showTime(viewOf(frame++ % frames, run->series));
        chart->repaint();
    }
}
BENCHMARK(panAndZoom)->Arg(100'000)->Arg(1'000'000)->Arg(whole)->Unit(benchmark::kMillisecond)->Iterations(frames);

// The baseline of a frame: the same columns of one trace from its samples, without a pyramid.
void thinOneTrace(benchmark::State& state) {
    const auto& run = runOf(whole);
    const report::Samples samples = report::samplesOf(run->series.temperature_c);
    report::Pyramid pyramid;
    pyramid.grow(samples);
    for ([[maybe_unused]] auto turn : state) {
        const auto columns =
            report::columnSamples(run->series.time_s, {.from = 0.0, .to = run->series.time_s.back(), .count = 1000});
        benchmark::DoNotOptimize(
            report::decimate(run->series.time_s, samples, columns, state.range(0) != 0 ? &pyramid : nullptr));
    }
}
BENCHMARK(thinOneTrace)->ArgName("pyramid")->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond);

void buildPyramid(benchmark::State& state) {
    const auto& run = runOf(whole);
    for ([[maybe_unused]] auto turn : state) {
        report::Pyramid pyramid;
        pyramid.grow(report::samplesOf(run->series.temperature_c));
        benchmark::DoNotOptimize(pyramid.size());
    }
}
BENCHMARK(buildPyramid)->Unit(benchmark::kMillisecond);

// A line of the kernel's account of this process [MiB]; NaN where there is none.
double memoryMib(std::string_view name) {
    std::ifstream file("/proc/self/status");
    for (std::string line; std::getline(file, line);) {
        if (line.starts_with(name)) {
            const std::size_t at = line.find_first_of("0123456789");
            double kib = 0.0;
            std::from_chars(line.data() + at, line.data() + line.size(), kib);
            return kib / 1024.0;
        }
    }
    return std::nan("");
}

bool verdict(bool passes, const std::string& what) {
    fmt::print("{} {}\n", passes ? "PASS" : "FAIL", what);
    return passes;
}

bool check() {
    { // what Qt itself takes for any picture is not the chart's
        const auto warm = chartWith(noisyRun(1000));
    }
    const auto& run = runOf(whole);
    std::ofstream("/proc/self/clear_refs") << "5"; // the peak starts here
    const double before_mib = memoryMib("VmRSS:");
    QElapsedTimer timer;
    timer.start();
    const auto chart = chartWith(run);
    const double first_s = static_cast<double>(timer.nsecsElapsed()) * 1e-9;
    const double samples_mib = traces_and_time * sizeof(double) * static_cast<double>(whole) / 1048576.0;

    std::vector<double> frame_ms;
    for (int frame = 0; frame < frames; ++frame) {
        timer.restart();
        chart->showTime(viewOf(frame, run->series));
        chart->repaint();
        frame_ms.push_back(static_cast<double>(timer.nsecsElapsed()) * 1e-6);
    }
    const double extra_mib = memoryMib("VmHWM:") - before_mib;
    std::sort(frame_ms.begin(), frame_ms.end());
    const auto at = [&](double part) { return frame_ms[static_cast<std::size_t>(part * (frames - 1))]; };
    fmt::print("frames: median {:.1f} ms, 95th percentile {:.1f} ms, longest {:.1f} ms\n", at(0.5), at(0.95),
               frame_ms.back());
    bool passes =
        verdict(at(0.99) < most_frame_ms, fmt::format("99th percentile of {} frames {:.1f} ms; under {} are wanted",
                                                      frames, at(0.99), most_frame_ms));
    passes &= verdict(first_s < most_first_s,
                      fmt::format("first picture after {:.2f} s; under {} are wanted", first_s, most_first_s));
    passes &= verdict(extra_mib < most_memory_ratio * samples_mib,
                      fmt::format("{:.0f} MiB more memory, {:.2f} times the samples' {:.0f} MiB; under {} are wanted",
                                  extra_mib, extra_mib / samples_mib, samples_mib, most_memory_ratio));
    return passes;
}

} // namespace

int main(int argc, char** argv) {
    if (const auto ready = report::prepareDrawing(); !ready) {
        fmt::print(stderr, "{}\n", ready.error().what);
        return EXIT_FAILURE;
    }
    if (argc == 2 && std::string_view(argv[1]) == "--check") {
        return check() ? EXIT_SUCCESS : EXIT_FAILURE;
    }
    benchmark::Initialize(&argc, argv);
    benchmark::RunSpecifiedBenchmarks();
    fmt::print("\nThe thresholds:\n");
    check();
    return EXIT_SUCCESS;
}
