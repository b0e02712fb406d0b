// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/report_run.h"

#include "app/session/book_list.h"
#include "app/session/photo_file.h"
#include "app/session/recording.h"

#include <filesystem>
#include <utility>

namespace potwatch::session {

ReportRun reportRunOf(const AnalysedRun& run) {
    Analysis analysis = run.analysis;
    ReportRun made{.analysis = nullptr, .batch = run.batch, .photos = {}};
    if (const std::string& name = run.batch.outcome.photo; !name.empty()) {
        const std::filesystem::path beside = std::filesystem::path(run.batch.file).parent_path();
        if (Result<book::Photo> photo = readPhotoFile((beside / name).string())) {
            made.photos.push_back(*std::move(photo));
        } else {
            analysis.findings.warnings.push_back("the photo that the batch file names is not in the report: " +
                                                 describe(photo.error()));
        }
    }
    made.analysis = std::make_shared<const Analysis>(std::move(analysis));
    return made;
}

std::string todayText() {
    return dayText(systemClock().wall());
}

} // namespace potwatch::session
