// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/raster_part.h"

#include "bench/panel_looks.h"
#include "dialogs/dialog_parts.h"
#include "dialogs/intake_files.h"
#include "text/figures.h"

#include <QComboBox>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QLocale>
#include <QPushButton>

#include <cmath>

namespace fw {

namespace {

// What the cells of a raster may mean.
struct Use {
    RasterUse use;
    const char* words;
};
constexpr Use kUses[] = {{RasterUse::height, QT_TRANSLATE_NOOP("fw::RasterPart", "Ground heights")},
                         {RasterUse::demand, QT_TRANSLATE_NOOP("fw::RasterPart", "Demand")},
                         {RasterUse::landCover, QT_TRANSLATE_NOOP("fw::RasterPart", "Land cover")}};

enum Unit { asFileSays, metres, feet };

constexpr double kLeastCellM = 0.5, kMostCellM = 128; // as `add --cell` takes them

QString side(double m) { return figure(m, RasterPart::tr("m"), m == std::floor(m) ? 0 : 1); }

// What is said of a field stands below it, as wide as the page: beside it there is no room for a sentence.
void addField(QFormLayout& form, const QString& label, QWidget* field, QLabel* says) {
    form.addRow(label, field);
    form.addRow(says);
}

void say(QFormLayout& form, QLabel* label, const QString& text) {
    label->setText(text);
    form.setRowVisible(label, !text.isEmpty());
}

} // namespace

RasterPart::RasterPart(Workspace& space, QWidget* parent)
    : QWidget(parent), m_space(space), m_use(new QComboBox(this)), m_unit(new QComboBox(this)),
      m_system(new QLineEdit(this)), m_cell(new QLineEdit(this)), m_systemSays(sentenceLabel(this)),
      m_cellSays(sentenceLabel(this)), m_facts(sentenceLabel(this)), m_saveSays(sentenceLabel(this)),
      m_weights(new QLineEdit(this)), m_weightsSay(sentenceLabel(this)),
      m_save(plainButton(tr("Sa&ve the plan ..."), this)) {
    auto* page = new QVBoxLayout(this);
    page->setContentsMargins(0, 0, 0, 0);
    auto* form = m_form = new QFormLayout;
    form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
    for (const Use& use : kUses) m_use->addItem(tr(use.words), static_cast<int>(use.use));
    m_unit->addItems({tr("as the file says"), tr("metres"), tr("feet")});
    m_system->setPlaceholderText(tr("as the file says"));
    m_cell->setPlaceholderText(tr("about the file's"));
    const int em = fontMetrics().averageCharWidth();
    for (QWidget* w : {static_cast<QWidget*>(m_system), static_cast<QWidget*>(m_cell)})
        w->setMaximumWidth(em * 20);
    for (QLabel* says : {m_systemSays, m_cellSays, m_weightsSay}) lookSoft(*says);
    form->addRow(tr("&Holds"), m_use);
    addField(*form, tr("Reference s&ystem (EPSG)"), m_system, m_systemSays);
    form->addRow(tr("He&ights are in"), m_unit);
    addField(*form, tr("Side of the plan's cells (&m)"), m_cell, m_cellSays);
    m_weights->setPlaceholderText(tr("80=0; 50=1"));
    addField(*form, tr("&Weights of classes"), m_weights, m_weightsSay);
    m_weightsSay->setText(
        tr("What a square metre of a class counts as a place of users: class=weight. Street "
           "counts 1, yard 0.25, water 0."));
    page->addLayout(form);
    m_facts->setAccessibleName(tr("What the raster is"));
    page->addWidget(m_facts);
    auto* saving = new QHBoxLayout;
    m_saveSays->setText(tr("This plan has no file yet, and the raster comes into a file beside it. Save it "
                           "first; nothing you did is lost."));
    saving->addWidget(m_saveSays, 1);
    saving->addWidget(m_save);
    page->addLayout(saving);
    connect(m_system, &QLineEdit::editingFinished, this, &RasterPart::systemEntered);
    connect(m_cell, &QLineEdit::editingFinished, this, &RasterPart::cellEntered);
    connect(m_weights, &QLineEdit::editingFinished, this, &RasterPart::weightsEntered);
    connect(m_use, &QComboBox::activated, this, [this](int) { useChosen(); });
    connect(m_unit, &QComboBox::activated, this, [this](int) { unitChosen(); });
    connect(m_save, &QPushButton::clicked, this, &RasterPart::saveWanted);
}

bool RasterPart::needsSaving() const {
    return m_space.document.path().empty() && !m_space.document.readOnly();
}

void RasterPart::setFile(const IntakeFile& file) {
    m_filling = true;
    m_request = file.groundRequest;
    m_preview = file.ground;
    m_taken = file.taken;
    m_use->setCurrentIndex(m_use->findData(static_cast<int>(m_request.use)));
    m_unit->setCurrentIndex(!m_request.feet ? asFileSays : *m_request.feet ? feet : metres);
    if (!m_system->hasFocus())
        m_system->setText(m_request.epsg ? QString::number(m_request.epsg) : QString());
    m_form->setRowVisible(m_unit, m_request.use == RasterUse::height);
    m_form->setRowVisible(m_weights, m_request.use == RasterUse::landCover);
    m_form->setRowVisible(m_weightsSay, m_request.use == RasterUse::landCover);
    if (!m_weights->hasFocus()) m_weights->setText(QString::fromStdString(m_request.classWeights));
    if (!m_cell->hasFocus())
        m_cell->setText(m_request.cellM ? QLocale().toString(*m_request.cellM) : QString());
    say(*m_form, m_systemSays, m_preview ? QString::fromStdString(m_preview->crs) : QString());
    say(*m_form, m_cellSays,
        m_preview && m_preview->cellM > 0 ? tr("Cells of %1.").arg(side(m_preview->cellM)) : QString());
    m_facts->setText(factsText());
    m_saveSays->setVisible(needsSaving());
    m_save->setVisible(needsSaving());
    m_filling = false;
}

QString RasterPart::factsText() const {
    if (!m_preview) return {};
    const RasterPreview& p = *m_preview;
    const QLocale l;
    QStringList lines;
    lines << tr("%1 with %2 × %3 cells.")
                 .arg(QString::fromStdString(p.head.format), l.toString(p.head.width),
                      l.toString(p.head.height));
    if (!p.taken.empty()) {
        lines << tr("Taken: %1 from west to east, %2 from south to north, in cells of %3.")
                     .arg(distance(p.taken.width()), distance(p.taken.height()), side(p.cellM));
        if (p.missingShare <= 0.001) lines << tr("It covers all ground that the plan computes on.");
    }
    lines << nowText();
    return lines.join(QLatin1Char('\n'));
}

// What the plan uses now.
QString RasterPart::nowText() const {
    const PlanSettings& s = *m_space.document.plan().settings;
    const RasterUse use = m_preview->use;
    const QString file = QString::fromStdString(use == RasterUse::height   ? s.terrain.file
                                                : use == RasterUse::demand ? s.demandRaster.file
                                                                           : s.landCover.file);
    if (m_taken)
        return use == RasterUse::height   ? tr("The plan stands on %1.").arg(file)
               : use == RasterUse::demand ? tr("The plan takes its demand from %1.").arg(file)
                                          : tr("Open ground is weighed by %1.").arg(file);
    if (!file.isEmpty()) return tr("It takes the place of %1, which stays where it is.").arg(file);
    return use == RasterUse::height
               ? tr("The plan stands on flat ground at %1 so far.").arg(figure(s.terrain.flatM, tr("m"), 1))
           : use == RasterUse::demand ? tr("Demand follows floor area and open ground so far.")
                                      : tr("Open ground is weighed as street, yard or water so far.");
}

void RasterPart::useChosen() {
    if (m_filling) return;
    RasterRequest request = m_request;
    request.use = static_cast<RasterUse>(m_use->currentData().toInt());
    if (request.use != m_request.use) emit asked(request);
}

void RasterPart::weightsEntered() {
    if (m_filling) return;
    RasterRequest request = m_request;
    request.classWeights = m_weights->text().trimmed().toStdString();
    if (request.classWeights != m_request.classWeights) emit asked(request);
}

void RasterPart::systemEntered() {
    if (m_filling) return;
    const QString text = m_system->text().trimmed();
    bool whole = false;
    const int code = text.toInt(&whole);
    if (!text.isEmpty() && (!whole || code <= 0)) {
        say(*m_form, m_systemSays, tr("Write the EPSG code as a number, for example 4326."));
        return;
    }
    if (m_request.epsg == code) return;
    RasterRequest request = m_request;
    request.epsg = code;
    emit asked(request);
}

void RasterPart::cellEntered() {
    if (m_filling) return;
    const QString text = m_cell->text().trimmed();
    bool number = false;
    const double side = QLocale().toDouble(text, &number);
    if (!text.isEmpty() && (!number || side < kLeastCellM || side > kMostCellM)) {
        say(*m_form, m_cellSays,
            tr("Write a side from %1 to %2 m.")
                .arg(QLocale().toString(kLeastCellM), QLocale().toString(kMostCellM)));
        return;
    }
    RasterRequest request = m_request;
    request.cellM = text.isEmpty() ? std::nullopt : std::optional<double>(side);
    if (request.cellM != m_request.cellM) emit asked(request);
}

void RasterPart::unitChosen() {
    if (m_filling) return;
    RasterRequest request = m_request;
    request.feet.reset();
    if (m_unit->currentIndex() != asFileSays) request.feet = m_unit->currentIndex() == feet;
    if (request.feet != m_request.feet) emit asked(request);
}

} // namespace fw
