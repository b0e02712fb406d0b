// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/findings.h"

#include <QObject>
#include <QString>

#include <functional>
#include <memory>
#include <thread>
#include <vector>

namespace potwatch::window {

// Writes what a run gives into files: figures on another thread, drawings when the window has nothing else to do (Qt
// draws scenes on the window's thread alone). What became of it comes as a message.
class Exporter : public QObject {
    Q_OBJECT

public:
    enum class Kind { plot, series, findings };

    using QObject::QObject;
    ~Exporter() override;

    // Work that writes that file, on another thread; and work that draws it, on this one.
    void inBackground(std::function<Result<void>()> work, const QString& file);
    void soon(std::function<Result<void>()> work, const QString& file);

    void start(Kind kind, std::shared_ptr<const Analysis> analysis, const QString& file);

    // The endings that fit, for a dialog; the first is the usual one.
    [[nodiscard]] static QString filterOf(Kind kind);
    // "rod 03" as the name of a file: "rod-03.svg".
    [[nodiscard]] static QString suggestedName(Kind kind, const QString& run);

Q_SIGNALS:
    void message(const QString& text);
    void finished();

private:
    void tell(const Result<void>& result, const QString& file);

    std::vector<std::jthread> threads_;
};

} // namespace potwatch::window
