// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/compare_plot.h"
#include "app/report/plot_content.h"
#include "app/session/report_run.h"

#include <QGraphicsScene>
#include <QImage>
#include <QSizeF>

#include <cstddef>
#include <deque>
#include <memory>
#include <string>
#include <vector>

namespace potwatch::report {

// A vector drawing, and the size of its page in page units.
struct Drawing {
    std::unique_ptr<QGraphicsScene> scene; // null = none was wanted
    QSizeF size;
};

// The pictures of a report. Shape: plots[i] is that of run i (a report may have more drawings after those of the runs);
// photos[i] are those of run i, null where a photo cannot be read.
struct ReportPictures {
    std::vector<Drawing> plots;
    std::vector<std::vector<QImage>> photos;
    std::deque<PlotContent> contents; // which the scenes look into
};

// Adds the plot (where it is wanted) and the photos of the next run.
// Assumes: prepareDrawing() went well; the run's analysis outlives the pictures. Threads: the window's.
void addPictures(ReportPictures& pictures, const session::ReportRun& run, bool with_plot, bool with_photos);

// Adds the two drawings of a comparison, behind those of the runs: overlay and scatter.
// Assumes: as addPictures.
void addComparison(ReportPictures& pictures, const ComparePicture& comparison);

// The photo as it is to be seen (turned as the camera says), no larger than a printed page needs; null where it is no
// picture that Qt reads.
[[nodiscard]] QImage photoImage(const std::string& bytes);

// The picture as a JPEG, without what the camera wrote into the photo (place, owner). Empty for a null picture.
[[nodiscard]] std::string jpegOf(const QImage& image);

} // namespace potwatch::report
