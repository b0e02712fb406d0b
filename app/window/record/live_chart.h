// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/event.h"
#include "analysis/values/watch_state.h"
#include "app/session/recording_news.h"
#include "app/window/record/live_trace.h"

#include <QWidget>

#include <vector>

namespace potwatch::window {

// The temperatures of a run while it grows: the whole run in view, the pot in ink and thick, the others thin, each with
// its name at its end; the limit and the boiling point as lines, the rate as slope ticks with their figures, the
// present trend dashed for the next minute, events as marks.
class LiveChart : public QWidget {
    Q_OBJECT

public:
    explicit LiveChart(QWidget* parent = nullptr);

    void begin(const std::vector<session::LiveChannel>& channels, std::size_t pot);
    void setPot(std::size_t pot);
    void add(const std::vector<session::LiveScan>& scans);
    void setState(const WatchState& state);
    void setEvents(const std::vector<Event>& events);

    [[nodiscard]] const std::vector<LiveTrace>& traces() const { return traces_; }

protected:
    void paintEvent(QPaintEvent* event) override;
    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;

private:
    struct Plot;
    [[nodiscard]] Plot plot() const;
    void drawAxes(QPainter& painter, const Plot& plot) const;
    void drawLevels(QPainter& painter, const Plot& plot) const;
    void drawTraces(QPainter& painter, const Plot& plot) const;
    void drawSlopes(QPainter& painter, const Plot& plot) const;
    void drawTrend(QPainter& painter, const Plot& plot) const;
    void drawEvents(QPainter& painter, const Plot& plot) const;

    std::vector<session::LiveChannel> channels_;
    std::vector<LiveTrace> traces_; // one a channel; of what is no temperature, empty
    std::size_t pot_ = 0;
    double last_s_ = 0.0;
    WatchState state_;
    struct Slope {
        double time_s;
        double reading_c;
        double rate_k_per_min;
    };
    std::vector<Slope> slopes_; // thinned out as the run grows
    double slope_step_s_ = 1.0;
    std::vector<Event> events_;
};

} // namespace potwatch::window
