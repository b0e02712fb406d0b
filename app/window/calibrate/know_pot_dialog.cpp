// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/calibrate/know_pot_dialog.h"

#include "app/format/quantity_text.h"
#include "app/session/pot_knowledge_text.h"
#include "app/session/whole_file.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDialogButtonBox>
#include <QFileDialog>
#include <QFormLayout>
#include <QFrame>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QVBoxLayout>

#include <optional>
#include <utility>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

void put(QLineEdit& field, const std::optional<double>& number) {
    field.setText(number ? QString::fromStdString(format::fieldText(*number)) : QString());
}

QString htmlOf(const PotKnowledge& known) {
    QString rows;
    for (const session::KnowledgeRow& row : session::knowledgeRows(known)) {
        rows += u"<tr><td style='padding-right: 1.5em'>%1</td><td>%2</td></tr>"_s.arg(
            QString::fromStdString(row.name).toHtmlEscaped(), QString::fromStdString(row.figure).toHtmlEscaped());
    }
    return u"<table cellspacing='0' cellpadding='3'>%1</table>"_s.arg(rows);
}

// Steps with their numbers in a column of their own.
QString numbered(const QStringList& steps) {
    QString rows;
    for (const QString& step : steps) {
        rows += u"<tr><td style='padding-right: 0.6em'>%1.</td><td>%2</td></tr>"_s.arg(
            QString::number(rows.count(u"<tr>"_s) + 1), step.toHtmlEscaped());
    }
    return u"<table cellspacing='0' cellpadding='1'>%1</table>"_s.arg(rows);
}

} // namespace

KnowPotDialog::KnowPotDialog(ChosenBook book, QWidget* parent)
    : QDialog(parent)
    , book_(std::move(book)) {
    setObjectName(u"knowPotDialog"_s);
    setWindowTitle(tr("Know your pot"));
    build();
    connect(run_, &QComboBox::currentIndexChanged, this, &KnowPotDialog::runChosen);
    for (QLineEdit* const field : {vessel_, water_, water_temperature_, room_, vessel_temperature_, lost_}) {
        connect(field, &QLineEdit::editingFinished, this, &KnowPotDialog::find);
    }
    connect(covered_, &QCheckBox::toggled, this, &KnowPotDialog::find);
    connect(record_, &QPushButton::clicked, this, &KnowPotDialog::record);
    connect(take_, &QPushButton::clicked, this, &KnowPotDialog::take);
    connect(save_, &QPushButton::clicked, this, &KnowPotDialog::save);
    runChosen();
}

void KnowPotDialog::setBook(ChosenBook book) {
    book_ = std::move(book);
    if (refill(*run_, book_)) {
        runChosen();
    }
    choose(std::exchange(awaited_, {}));
}

void KnowPotDialog::choose(const book::RunId& run) {
    const int place = run.empty() ? -1 : run_->findData(QString::fromStdString(run));
    awaited_ = place < 0 ? run : book::RunId();
    if (place >= 0) {
        run_->setCurrentIndex(place);
    }
}

void KnowPotDialog::build() {
    const int line = fontMetrics().height();
    auto* const steps = quietText(u"knowPotHow"_s, this);
    steps->setTextFormat(Qt::RichText);
    steps->setText(numbered(
        {tr("Weigh water, type what you know below, and heat it. Record the hot water: the page Record opens with this "
            "pot; begin with the probe in the empty pot."),
         tr("Read the hot water's temperature with that probe, pour it in at once and stir. Note the moment as "
            "the event \"pour\", or let it be found."),
         tr("Put a lid on and leave it until it has cooled half the way to the room. Stop: what the pot is stands "
            "here. A run that was recorded before is chosen below.")}));
    auto* const form = new QFormLayout;
    form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
    run_ = runChoice(book_, u"knowPotRun"_s, this);
    addLabelled(*form, tr("&Run"), run_);
    vessel_ = addNumberField(*form, tr("&Vessel's name"), u"knowPotVessel"_s, this);
    vessel_->setPlaceholderText(tr("the same as in the runs with resin"));
    water_ = addNumberField(*form, tr("&Water, g"), u"knowPotWater"_s, this);
    water_temperature_ = addNumberField(*form, tr("Hot water &before pouring, °C"), u"knowPotHot"_s, this);
    room_ = addNumberField(*form, tr("The r&oom, °C"), u"knowPotRoom"_s, this);
    vessel_temperature_ = addNumberField(*form, tr("The &empty pot, °C"), u"knowPotEmpty"_s, this);
    vessel_temperature_->setPlaceholderText(tr("as the room"));
    lost_ = addNumberField(*form, tr("Eva&porated, g"), u"knowPotLost"_s, this);
    lost_->setPlaceholderText(tr("where it was weighed"));
    covered_ = new QCheckBox(tr("A &lid was on"), this);
    covered_->setObjectName(u"knowPotLid"_s);
    covered_->setToolTip(
        tr("Without a lid only the cooling below 60 °C counts: above, what evaporates carries off more "
           "than the wall."));
    form->addRow({}, covered_);

    auto* const found = new QFrame(this);
    found->setFrameShape(QFrame::StyledPanel);
    auto* const column = new QVBoxLayout(found);
    column->setContentsMargins(line, line, line, line);
    result_ = wrappedText(u"knowPotResult"_s, found);
    result_->setTextFormat(Qt::RichText);
    notes_ = wrappedText(u"knowPotNotes"_s, found);
    column->addWidget(result_);
    column->addWidget(notes_, 1);
    auto* const middle = new QHBoxLayout;
    middle->setSpacing(line * 3 / 2);
    auto* const side = new QVBoxLayout;
    side->addLayout(form);
    side->addStretch(1);
    middle->addLayout(side, 2);
    middle->addWidget(found, 3);
    auto* const buttons = new QDialogButtonBox(QDialogButtonBox::Close, this);
    record_ = buttons->addButton(tr("Record the &hot water"), QDialogButtonBox::ActionRole);
    record_->setObjectName(u"knowPotRecord"_s);
    record_->setToolTip(
        tr("Opens the page Record with this pot, filled with water. This window stays, and takes the run "
           "when it stops."));
    take_ = buttons->addButton(tr("&Take it into the run"), QDialogButtonBox::ActionRole);
    take_->setObjectName(u"knowPotTake"_s);
    take_->setToolTip(tr("The run becomes a blank of its vessel: runs with resin in a vessel of that name then learn "
                         "its loss from it. Edit, Undo takes it back."));
    save_ = buttons->addButton(tr("&Save as a batch file..."), QDialogButtonBox::ActionRole);
    save_->setObjectName(u"knowPotSave"_s);
    buttons->button(QDialogButtonBox::Close)->setIcon({});
    for (QAbstractButton* const button : buttons->buttons()) {
        qobject_cast<QPushButton*>(button)->setAutoDefault(false); // Return ends a field, and nothing else
    }
    auto* const all = new QVBoxLayout(this);
    all->setContentsMargins(line, line, line, line * 3 / 4);
    all->setSpacing(line);
    all->addWidget(steps);
    all->addLayout(middle, 1);
    all->addWidget(buttons);
    resize(line * 60, line * 30);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
}

void KnowPotDialog::runChosen() {
    if (const session::ListedRun* const run = chosenRun(book_, *run_)) {
        const Batch& batch = run->row.notes.batch;
        vessel_->setText(QString::fromStdString(batch.vessel.name));
        put(*water_, batch.charge.water_g);
        put(*room_, batch.surroundings.temperature_c);
        room_->setPlaceholderText(batch.surroundings.channel.empty()
                                      ? QString()
                                      : tr("from %1").arg(QString::fromStdString(batch.surroundings.channel)));
        put(*lost_, batch.weighed_loss_g);
    }
    find();
}

// What stands in the fields, and in `batch` what of it belongs there.
Result<HotWater> KnowPotDialog::waterInFields(Batch& batch) const {
    HotWater water{.covered = covered_->isChecked()};
    std::optional<double> mass_g;
    std::optional<double> room_c;
    const auto read = [](const QLineEdit* field, std::string_view unit, std::optional<double>& into) -> Result<bool> {
        const Result<std::optional<double>> number = numberIn(*field, unit);
        if (!number) {
            return tl::unexpected(number.error());
        }
        into = *number;
        return true;
    };
    for (const Result<bool>& is_read :
         {read(water_, "g", mass_g), read(water_temperature_, "°C", water.water_c), read(room_, "°C", room_c),
          read(vessel_temperature_, "°C", water.vessel_c), read(lost_, "g", water.loss_g)}) {
        if (!is_read) {
            return tl::unexpected(is_read.error());
        }
    }
    if (!mass_g) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = tr("how much water it was is not stated").toStdString(),
                                    .where = {},
                                    .remedy = tr("weigh it, and type the grams into \"Water\"").toStdString()});
    }
    water.water_g = *mass_g;
    if (room_c) {
        batch.surroundings.temperature_c = room_c;
        batch.surroundings.channel.clear();
    }
    batch.vessel.name = vessel_->text().trimmed().toStdString();
    return water;
}

void KnowPotDialog::record() {
    Batch batch;
    const Result<HotWater> water = waterInFields(batch);
    if (!water) {
        result_->setText(faultsInWords({water.error()}).toHtmlEscaped());
        return;
    }
    batch.blank = true;
    batch.charge.water_g = water->water_g;
    Q_EMIT recordingWanted(batch);
}

void KnowPotDialog::find() {
    const std::uint64_t ticket = ++ticket_;
    take_->setEnabled(false);
    save_->setEnabled(false);
    notes_->clear();
    const session::ListedRun* const run = chosenRun(book_, *run_);
    if (run == nullptr) {
        result_->setText(tr("There is no run in the book yet: record one first.").toHtmlEscaped());
        return;
    }
    batch_ = run->row.notes.batch;
    const Result<HotWater> water = waterInFields(batch_);
    if (!water) {
        result_->setText(faultsInWords({water.error()}).toHtmlEscaped());
        return;
    }
    water_g_ = water->water_g;
    result_->setText(tr("Looking for it ..."));
    errands_.run(
        [from = oneRun(book_, *run_), water = *water, surroundings = batch_.surroundings] {
            tl::expected<session::OpenedRun, session::Faults> opened = session::openOneRun(from, false);
            if (!opened) {
                return Found{.known = tl::unexpected(opened.error()), .warnings = {}};
            }
            opened->run.batch.surroundings = surroundings;
            Result<PotKnowledge> known = knowPot(opened->run, water, {});
            if (!known) {
                return Found{.known = tl::unexpected(session::Faults{known.error()}), .warnings = {}};
            }
            return Found{.known = std::move(*known), .warnings = opened->warnings};
        },
        [this, ticket](const Found& found) {
            if (ticket == ticket_) {
                showFound(found);
            }
        });
}

void KnowPotDialog::showFound(const Found& found) {
    if (!found.known) {
        result_->setText(faultsInWords(found.known.error()).toHtmlEscaped());
        return;
    }
    known_ = *found.known;
    result_->setText(htmlOf(known_));
    std::vector<std::string> texts = found.warnings;
    texts.insert(texts.end(), known_.warnings.begin(), known_.warnings.end());
    QStringList notes;
    for (const std::string& text : texts) {
        notes += QString::fromStdString(text);
    }
    notes_->setText(notes.join(u"\n\n"_s));
    const bool says_something = known_.vessel_j_per_k || known_.loss_coefficient_w_per_k;
    take_->setEnabled(says_something);
    save_->setEnabled(says_something);
}

void KnowPotDialog::take() {
    Q_EMIT taken(run_->currentData().toString().toStdString(), session::batchWithKnowledge(batch_, known_, water_g_));
    accept();
}

void KnowPotDialog::save() {
    const QString path = QFileDialog::getSaveFileName(this, tr("Save as a batch file"), u"vessel.batch.toml"_s,
                                                      tr("Batch files (*.toml);;All files (*)"));
    if (path.isEmpty()) {
        return;
    }
    errands_.run(
        [path = path.toStdString(), toml = session::vesselToml(known_, batch_.vessel.name)] {
            return session::writeWholeFile(path, toml);
        },
        [this, path](const Result<void>& written) {
            notes_->setText(written ? tr("Written: %1").arg(path) : faultsInWords({written.error()}));
        });
}

} // namespace potwatch::window
