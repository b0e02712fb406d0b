// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/pot_form/vessel_chooser.h"

#include "app/format/number.h"
#include "app/format/quantity_text.h"

#include <QGridLayout>
#include <QScreen>

#include <algorithm>

namespace potwatch::window {
namespace {

QString textOf(std::string_view words) {
    return QString::fromUtf8(words.data(), static_cast<qsizetype>(words.size()));
}

} // namespace

VesselChooser::VesselChooser(PotFormModel& form, QWidget* parent)
    : QDialog(parent)
    , form_(form)
    , material_(new QComboBox(this))
    , mass_(new QLineEdit(this))
    , result_(new QLabel(this))
    , take_(new QPushButton(tr("Take it"), this)) {
    setObjectName(QStringLiteral("vessel chooser"));
    setWindowTitle(tr("Vessel from material and mass"));
    setAttribute(Qt::WA_DeleteOnClose);
    material_->setObjectName(QStringLiteral("vessel material"));
    material_->setAccessibleName(tr("Material"));
    mass_->setObjectName(QStringLiteral("vessel mass"));
    mass_->setAccessibleName(tr("Mass, g"));
    mass_->setPlaceholderText(tr("empty and dry"));
    take_->setObjectName(QStringLiteral("take vessel"));
    take_->setDefault(true);
    result_->setObjectName(QStringLiteral("vessel result"));
    result_->setWordWrap(true);
    for (const chemistry::TypicalValue& material : form_.typicalValues("vessel.heat_capacity_j_per_k")) {
        material_->addItem(textOf(material.of));
    }
    auto* const grid = new QGridLayout(this);
    grid->setColumnStretch(1, 1);
    grid->addWidget(new QLabel(tr("Material"), this), 0, 0);
    grid->addWidget(material_, 0, 1, 1, 2);
    grid->addWidget(new QLabel(tr("Mass"), this), 1, 0);
    grid->addWidget(mass_, 1, 1);
    grid->addWidget(new QLabel(QStringLiteral("g"), this), 1, 2);
    grid->addWidget(result_, 2, 0, 1, 3);
    grid->addWidget(take_, 3, 1, 1, 2, Qt::AlignRight);
    const int wide = fontMetrics().averageCharWidth() * 46;
    setMinimumWidth(wide);
    result_->setMinimumHeight(3 * fontMetrics().lineSpacing());
    result_->setAlignment(Qt::AlignTop | Qt::AlignLeft);
    connect(material_, &QComboBox::currentIndexChanged, this, &VesselChooser::work);
    connect(mass_, &QLineEdit::textChanged, this, &VesselChooser::work);
    connect(take_, &QPushButton::clicked, this, &VesselChooser::take);
    work();
    mass_->setFocus();
}

void VesselChooser::popUpAt(QPoint top_right) {
    adjustSize();
    QPoint at(top_right.x() - width(), top_right.y());
    if (const QScreen* const shown_on = parentWidget() != nullptr ? parentWidget()->screen() : nullptr) {
        const QRect all = shown_on->availableGeometry();
        at.setX(std::clamp(at.x(), all.left(), std::max(all.left(), all.right() - width())));
        at.setY(std::clamp(at.y(), all.top(), std::max(all.top(), all.bottom() - height())));
    }
    move(at);
    open();
}

std::optional<double> VesselChooser::mass() const {
    const Result<double> typed = format::quantityOf(mass_->text().toStdString(), "g");
    return typed && *typed > 0.0 ? std::optional(*typed) : std::nullopt;
}

void VesselChooser::work() {
    const auto materials = form_.typicalValues("vessel.heat_capacity_j_per_k");
    const chemistry::TypicalValue& material =
        materials[static_cast<std::size_t>(std::max(0, material_->currentIndex()))];
    take_->setEnabled(mass().has_value());
    if (!mass()) {
        result_->setText(mass_->text().isEmpty()
                             ? tr("Weigh the vessel empty; the heat capacity is its mass times %1 J/(g K).")
                                   .arg(textOf(format::numberText(material.value)))
                             : tr("The mass has to be a number of grams, more than 0."));
        return;
    }
    const chemistry::VesselHeatCapacity found = chemistry::vesselHeatCapacity(*mass(), material);
    result_->setText(tr("%1 J/K, standard uncertainty %2 J/K (%3 J/(g K); %4)")
                         .arg(textOf(format::numberText(found.value_j_per_k, 3)),
                              textOf(format::numberText(found.u_j_per_k, 2)),
                              textOf(format::numberText(material.value)), textOf(material.source)));
}

void VesselChooser::take() {
    const auto materials = form_.typicalValues("vessel.heat_capacity_j_per_k");
    if (const std::optional<double> grams = mass()) {
        form_.takeVessel(materials[static_cast<std::size_t>(std::max(0, material_->currentIndex()))], *grams);
        accept();
    }
}

} // namespace potwatch::window
