// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/compare/remembered_request.h"

#include "app/window/settings.h"

#include <QStringList>

#include <string>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr auto setting = "compare/request";

} // namespace

session::CompareRequest rememberedRequest(const Settings& settings) {
    session::CompareRequest request;
    request.limit = session::usual_limit_c;
    const QStringList kept = settings.text(QString::fromLatin1(setting)).split(u' ');
    constexpr qsizetype parts = 5; // x, y, limit, alignment, form
    if (kept.size() != parts || compare::findFigure(kept[0].toStdString()) == nullptr ||
        compare::findFigure(kept[1].toStdString()) == nullptr) {
        return request;
    }
    request.x = kept[0].toStdString();
    request.y = kept[1].toStdString();
    bool is_number = false;
    const double limit = kept[2].toDouble(&is_number);
    request.limit = is_number ? std::optional(limit) : std::nullopt;
    request.align = compare::alignOf(kept[3].toStdString()).value_or(request.align);
    for (const compare::TrendForm form :
         {compare::TrendForm::straight, compare::TrendForm::logarithmic, compare::TrendForm::saturating}) {
        if (kept[4].toStdString() == compare::nameOf(form)) {
            request.form = form;
        }
    }
    return request;
}

void remember(const session::CompareRequest& request, Settings& settings) {
    const std::string_view form = request.form ? compare::nameOf(*request.form) : std::string_view("auto");
    const std::string_view align = compare::nameOf(request.align);
    settings.setText(QString::fromLatin1(setting),
                     QStringList{QString::fromStdString(request.x), QString::fromStdString(request.y),
                                 request.limit ? QString::number(*request.limit, 'g', 12) : u"none"_s,
                                 QString::fromStdString(std::string(align)), QString::fromStdString(std::string(form))}
                         .join(u' '));
}

std::optional<double> rememberedPeakLimit(const Settings& settings) {
    const session::CompareRequest request = rememberedRequest(settings);
    return request.y == "peak_temperature_c" ? request.limit : std::optional(session::usual_limit_c);
}

} // namespace potwatch::window
