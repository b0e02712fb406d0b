// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/settings.h"

#include <QFileInfo>
#include <QVariant>

#include <algorithm>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr int settings_format = 1;
constexpr qsizetype most_recent = 10;
constexpr int smallest_percent = 70;
constexpr int largest_percent = 250;

} // namespace

Settings::Settings(const QString& folder)
    : file_(folder + u"/window.ini"_s, QSettings::IniFormat)
    , writes_(file_.value(u"format"_s, settings_format).toInt() <= settings_format) {}

QString Settings::folder() const {
    return QFileInfo(file_.fileName()).path();
}

void Settings::put(const QString& key, const QVariant& value) {
    if (writes_ && file_.value(key) != value) {
        file_.setValue(u"format"_s, settings_format);
        file_.setValue(key, value);
    }
}

QByteArray Settings::bytes(const QString& key) const {
    return writes_ ? file_.value(key).toByteArray() : QByteArray();
}

void Settings::setBytes(const QString& key, const QByteArray& bytes) {
    put(key, bytes);
}

bool Settings::flag(const QString& key, bool otherwise) const {
    return writes_ ? file_.value(key, otherwise).toBool() : otherwise;
}

void Settings::setFlag(const QString& key, bool flag) {
    put(key, flag);
}

QString Settings::text(const QString& key) const {
    return writes_ ? file_.value(key).toString() : QString();
}

void Settings::setText(const QString& key, const QString& text) {
    put(key, text);
}

int Settings::textPercent() const {
    const int percent = writes_ ? file_.value(u"text_percent"_s, 100).toInt() : 100;
    return std::clamp(percent, smallest_percent, largest_percent);
}

void Settings::setTextPercent(int percent) {
    put(u"text_percent"_s, std::clamp(percent, smallest_percent, largest_percent));
}

Appearance Settings::appearance() const {
    const QString stated = text(u"appearance"_s);
    if (stated == u"light"_s) {
        return Appearance::light;
    }
    return stated == u"dark"_s ? Appearance::dark : Appearance::desktop;
}

void Settings::setAppearance(Appearance appearance) {
    setText(u"appearance"_s, appearance == Appearance::light  ? u"light"_s
                             : appearance == Appearance::dark ? u"dark"_s
                                                              : u"desktop"_s);
}

QStringList Settings::recent(const QString& key) const {
    return writes_ ? file_.value(key).toStringList() : QStringList();
}

void Settings::addRecent(const QString& key, const QString& path) {
    QStringList paths = recent(key);
    paths.removeAll(path);
    paths.prepend(path);
    put(key, paths.mid(0, most_recent));
}

void Settings::removeRecent(const QString& key, const QString& path) {
    QStringList paths = recent(key);
    paths.removeAll(path);
    put(key, paths);
}

} // namespace potwatch::window
