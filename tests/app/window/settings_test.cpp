// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/settings.h"

#include <QFile>
#include <QTemporaryDir>
#include <gtest/gtest.h>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

TEST(Settings, comeBackAndSayTheirFormat) {
    const QTemporaryDir folder;
    {
        Settings settings(folder.path());
        settings.setTextPercent(130);
        settings.setAppearance(Appearance::dark);
        settings.addRecent(u"recent_books"_s, u"/a"_s);
        settings.addRecent(u"recent_books"_s, u"/b"_s);
        settings.addRecent(u"recent_books"_s, u"/a"_s);
    }
    const Settings again(folder.path());
    EXPECT_EQ(again.textPercent(), 130);
    EXPECT_EQ(again.appearance(), Appearance::dark);
    EXPECT_EQ(again.recent(u"recent_books"_s), (QStringList{u"/a"_s, u"/b"_s}));
    QFile file(folder.filePath(u"window.ini"_s));
    ASSERT_TRUE(file.open(QIODevice::ReadOnly));
    EXPECT_TRUE(file.readAll().contains("format=1"));
}

TEST(Settings, leaveAFileOfANewerFormatAlone) {
    const QTemporaryDir folder;
    const QByteArray newer = "[General]\nformat=2\ntext_percent=200\n";
    QFile file(folder.filePath(u"window.ini"_s));
    ASSERT_TRUE(file.open(QIODevice::WriteOnly));
    file.write(newer);
    file.close();
    {
        Settings settings(folder.path());
        EXPECT_EQ(settings.textPercent(), 100);
        settings.setTextPercent(150);
    }
    ASSERT_TRUE(file.open(QIODevice::ReadOnly));
    EXPECT_EQ(file.readAll(), newer);
}

} // namespace
} // namespace potwatch::window
