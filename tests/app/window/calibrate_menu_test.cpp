// SPDX-License-Identifier: GPL-3.0-or-later
// The entries of the menu that open the dialogs of calibration, and what the window makes of their results.
#include "app/window/calibrate/calibrate_dialog.h"
#include "app/window/calibrate/know_pot_dialog.h"
#include "tests/app/window/window_fixture.h"

#include <QAbstractButton>
#include <QComboBox>

namespace potwatch::window {
namespace {

class CalibrateMenu : public Window {
protected:
    template<class Dialog>
    [[nodiscard]] Dialog* onlyOne() const {
        const QList<Dialog*> all = window->findChildren<Dialog*>();
        EXPECT_EQ(all.size(), 1);
        return all.isEmpty() ? nullptr : all.front();
    }
};

TEST_F(CalibrateMenu, isOfferedAsSoonAsThereIsABook) {
    EXPECT_FALSE(named<QAction>("calibrateProbes")->isEnabled());
    EXPECT_FALSE(named<QAction>("knowPot")->isEnabled());
    import({csv("rod.csv")});
    EXPECT_TRUE(named<QAction>("calibrateProbes")->isEnabled());
    EXPECT_TRUE(named<QAction>("knowPot")->isEnabled());
}

TEST_F(CalibrateMenu, opensEachDialogOnceBesideTheWindow) {
    import({csv("rod.csv")});
    trigger("calibrateProbes");
    trigger("calibrateProbes");
    auto* const calibrate = onlyOne<CalibrateDialog>();
    ASSERT_NE(calibrate, nullptr);
    EXPECT_TRUE(calibrate->isVisible());
    EXPECT_FALSE(calibrate->isModal()) << "a pot may be recorded meanwhile";
    EXPECT_EQ(calibrate->findChild<QComboBox*>(QStringLiteral("calibrateRun"))->count(), 1);
    import({csv("rod2.csv", 200.0)});
    EXPECT_EQ(calibrate->findChild<QComboBox*>(QStringLiteral("calibrateRun"))->count(), 2) << "it follows the book";
    trigger("knowPot");
    trigger("knowPot");
    auto* const know = onlyOne<KnowPotDialog>();
    ASSERT_NE(know, nullptr);
    EXPECT_TRUE(know->isVisible() && calibrate->isVisible());
    calibrate->close();
    know->close();
    EXPECT_TRUE(waitFor([&] {
        return window->findChild<CalibrateDialog*>() == nullptr && window->findChild<KnowPotDialog*>() == nullptr;
    }));
}

TEST_F(CalibrateMenu, takesWhatIsKnownOfThePotIntoTheRun) {
    import({csv("water.csv"), csv("rod.csv", 200.0)});
    const session::ListedRun* const run = &book().runs().back();
    const book::RunId id = run->row.id;
    Batch batch = run->row.notes.batch;
    batch.blank = true;
    batch.vessel.name = "beaker 250";
    trigger("knowPot");
    Q_EMIT onlyOne<KnowPotDialog>()->taken(id, batch);
    ASSERT_TRUE(waitFor([&] { return book().run(id)->row.notes.batch.blank && book().shownId() == id; }));
    EXPECT_EQ(book().run(id)->row.notes.batch.vessel.name, "beaker 250");
    EXPECT_TRUE(waitFor([&] { return analysed(); }));
    trigger("undo");
    EXPECT_TRUE(waitFor([&] { return !book().run(id)->row.notes.batch.blank; }));
}

} // namespace
} // namespace potwatch::window
