// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/compare_plot.h"
#include "app/report/fit_plot.h"
#include "app/report/plot.h"

namespace potwatch::report {
namespace {

Fault withoutPlots(const std::string& path) {
    return {.kind = FaultKind::unsupported,
            .what = "this build has no plots and no reports",
            .where = {.file = path},
            .remedy = "use a build with Qt 6, or --json and --series"};
}

} // namespace

Result<void> writePlot(const Analysis&, const std::string& path, const PlotOptions&) {
    return tl::unexpected(withoutPlots(path));
}

Result<std::string> plotSvg(const Analysis&, const PlotOptions&) {
    return tl::unexpected(withoutPlots(""));
}

Result<void> writeReport(std::vector<session::ReportRun>, const session::ReportWish&, const std::string& path,
                         const Progress&) {
    return tl::unexpected(withoutPlots(path));
}

Result<void> writeComparePlot(const ComparePicture&, const std::string& path) {
    return tl::unexpected(withoutPlots(path));
}

Result<void> writeFitPlot(const FitPicture&, const std::string& path) {
    return tl::unexpected(withoutPlots(path));
}

} // namespace potwatch::report
