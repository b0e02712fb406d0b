// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/chart/chart_parts.h"

#include <QActionGroup>
#include <QMenu>

namespace potwatch::window {

namespace {

QString wordsFor(LandmarkKind landmark) {
    switch (landmark) {
    case LandmarkKind::firstDeviation:
        return ChartView::tr("first deviation");
    case LandmarkKind::onset:
        return ChartView::tr("onset");
    case LandmarkKind::steepest:
        return ChartView::tr("steepest");
    case LandmarkKind::boilStart:
        return ChartView::tr("start of boiling");
    case LandmarkKind::peak:
        return ChartView::tr("peak");
    case LandmarkKind::boilEnd:
        return ChartView::tr("end of boiling");
    case LandmarkKind::end:
        break;
    }
    return ChartView::tr("end");
}

} // namespace

void ChartView::Parts::showMenu(const QPoint& global, report::Point at) {
    closeEntry(true);
    const report::PlotContent& content = canvas.content();
    Target target = targetAt(at, surroundings());
    if (target.isNone()) {
        target = selected;
    } else if (target.kind != Target::Kind::cursor) {
        select(target);
    }
    const double time_s = clampedTime(canvas.layout().timeAt(at.x));
    auto* const menu = new QMenu(&view);
    menu->setObjectName(QStringLiteral("chart_menu"));
    menu->setAttribute(Qt::WA_DeleteOnClose);
    // The keys are shown, not bound: the chart reads them itself.
    const auto add = [&](QMenu* to, const QString& text, const char* keys, auto action) {
        QAction* const made =
            to->addAction(keys[0] == '\0' ? text : text + QLatin1Char('\t') + QString::fromUtf8(keys));
        QObject::connect(made, &QAction::triggered, &view, action);
        return made;
    };
    if (target.kind == Target::Kind::annotation) {
        add(menu, ChartView::tr("Edit the words \u2026"), "Enter",
            [this, target] { openEntry(canvas.analysis().annotations[target.index], static_cast<int>(target.index)); });
        add(menu, ChartView::tr("Remove"), "Del", [this, target] {
            select(target);
            removeSelected();
        });
        menu->addSeparator();
    } else if (const auto landmark = landmarkOf(target, content); landmark && isByHand(target, content)) {
        add(menu, ChartView::tr("Put %1 back where the analysis finds it").arg(wordsFor(*landmark)), "Del",
            [this, landmark] { Q_EMIT view.landmarkReset(*landmark); });
        menu->addSeparator();
    }
    QMenu* const put = menu->addMenu(ChartView::tr("Put a landmark here"));
    for (const LandmarkKind landmark : all_landmark_kinds) {
        add(put, wordsFor(landmark), "", [this, landmark, time_s] { Q_EMIT view.landmarkMoved(landmark, time_s); });
    }
    add(menu, ChartView::tr("Mark an event here \u2026"), "E", [this, time_s] { Q_EMIT view.eventWanted(time_s); });
    menu->addSeparator();
    add(menu, ChartView::tr("Read the values here"), "Alt+\u2190 \u2192", [this, time_s] { moveCursor(0, time_s); });
    add(menu, ChartView::tr("Measure to here"), "Alt+Shift+\u2190 \u2192", [this, time_s] { moveCursor(1, time_s); });
    QAction* const away = add(menu, ChartView::tr("Take both lines away"), "Esc", [this] {
        cursors_s = {};
        view.update();
    });
    away->setEnabled(cursors_s[0] || cursors_s[1]);
    menu->addSeparator();
    add(menu, ChartView::tr("Zoom in"), "+", [this] { view.zoomBy(1.25); });
    add(menu, ChartView::tr("Zoom out"), "\u2212", [this] { view.zoomBy(0.8); });
    add(menu, ChartView::tr("Fit to the cure"), "0", [this] { view.fit(); });
    add(menu, ChartView::tr("Show the whole trace"), "End", [this] { view.fitAll(); });
    menu->addSeparator();
    auto* const group = new QActionGroup(menu);
    const auto addTool = [&](const QString& text, const char* keys, ChartTool own) {
        QAction* const made = add(menu, text, keys, [this, own] { view.setTool(own); });
        made->setCheckable(true);
        made->setChecked(tool == own);
        group->addAction(made);
    };
    addTool(ChartView::tr("Move the view"), "H", ChartTool::pan);
    addTool(ChartView::tr("Zoom to a box"), "Z, Shift+drag", ChartTool::boxZoom);
    addTool(ChartView::tr("Read values"), "C", ChartTool::cursor);
    addTool(ChartView::tr("Write words"), "T", ChartTool::text);
    addTool(ChartView::tr("Draw an arrow"), "A", ChartTool::arrow);
    addTool(ChartView::tr("Draw a span"), "S", ChartTool::span);
    menu->popup(global);
}

} // namespace potwatch::window
