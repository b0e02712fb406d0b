// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QByteArray>
#include <QSettings>
#include <QString>
#include <QStringList>

namespace potwatch::window {

enum class Appearance { desktop, light, dark };

// What the window remembers from one start to the next (window.ini in the folder of the settings). A file of a newer
// format is left alone: the defaults hold then, and nothing is written.
class Settings {
public:
    explicit Settings(const QString& folder);

    [[nodiscard]] QString folder() const;

    [[nodiscard]] QByteArray bytes(const QString& key) const;
    void setBytes(const QString& key, const QByteArray& bytes);
    [[nodiscard]] bool flag(const QString& key, bool otherwise) const;
    void setFlag(const QString& key, bool flag);
    [[nodiscard]] QString text(const QString& key) const;
    void setText(const QString& key, const QString& text);

    [[nodiscard]] int textPercent() const; // of the desktop's text size: 70 to 250
    void setTextPercent(int percent);
    [[nodiscard]] Appearance appearance() const;
    void setAppearance(Appearance appearance);

    // Latest first, at most ten.
    [[nodiscard]] QStringList recent(const QString& key) const;
    void addRecent(const QString& key, const QString& path);
    void removeRecent(const QString& key, const QString& path);

private:
    void put(const QString& key, const QVariant& value);

    QSettings file_;
    bool writes_ = true;
};

inline constexpr auto recent_books = "recent_books";
inline constexpr auto last_book = "last_book";
inline constexpr auto last_folder = "last_folder";

} // namespace potwatch::window
