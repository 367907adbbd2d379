// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/models_window.h"

#include "bench/panel_looks.h"
#include "dialogs/dialog_parts.h"
#include "plan/edit_makers.h"
#include "plan/enum_names.h"
#include "plan/fields.h"
#include "plan/model_words.h"
#include "text/figures.h"

#include <QComboBox>
#include <QCoreApplication>
#include <QDialogButtonBox>
#include <QGridLayout>
#include <QHeaderView>
#include <QLocale>
#include <QSignalBlocker>
#include <QTableWidget>
#include <QVBoxLayout>

#include <cmath>
#include <type_traits>

namespace fw {
namespace {

enum ModelColumn { What, Now, Unit, Usual, kModelColumns };

class ModelText {
    Q_DECLARE_TR_FUNCTIONS(ModelsWindow)
};

// A setting of the computation and not of the plan's papers: a number of model, spread or uplink.
bool isValue(const std::string& name) {
    bool found = false;
    const auto look = [&](const char* each, const auto& value) {
        using V = std::remove_cvref_t<decltype(value)>;
        if (name == each) found = std::is_same_v<V, double> || std::is_same_v<V, int>;
    };
    ModelSettings model;
    SpreadSettings spread;
    UplinkSettings uplink;
    field_detail::model(model, look);
    field_detail::spread(spread, look);
    field_detail::uplink(uplink, look);
    return found;
}

QString numberText(double v) { return QLocale().toString(v, 'g', QLocale::FloatingPointShortest); }

std::optional<double> numberOf(const QString& typed) {
    bool ok = false;
    double v = QLocale().toDouble(typed.trimmed(), &ok);
    if (!ok) v = QLocale::c().toDouble(typed.trimmed(), &ok);
    return ok && std::isfinite(v) ? std::optional(v) : std::nullopt;
}

template <class E>
std::vector<std::pair<std::string, QString>> choicesOf() {
    std::vector<std::pair<std::string, QString>> out;
    for (std::size_t k = 0; k < EnumNames<E>::names.size(); ++k)
        out.emplace_back(EnumNames<E>::names[k], coreText(sourceOf(static_cast<E>(k))));
    return out;
}

struct ChoiceWords {
    const char* setting;
    QString label, why;
    std::vector<std::pair<std::string, QString>> choices;
};

std::vector<ChoiceWords> choiceWords() {
    return {
        {"macro_path_model", ModelText::tr("&Macros"),
         ModelText::tr(
             "Recommended: urban macro as the table has it, since it knows the storey. The optional line "
             "rises less with distance: a second opinion. Hata's formulas are not offered: they begin at "
             "1 km, end at 2 GHz and know no sight line."),
         choicesOf<MacroPathModel>()},
        {"small_path_model", ModelText::tr("&Small cells"),
         ModelText::tr(
             "Recommended: P.1411, stated for antennas below the roofs and from 5 m on. UMi is stated for "
             "antennas at 10 m and from 10 m on: a cross-check."),
         choicesOf<SmallPathModel>()},
        {"entry_model", ModelText::tr("Into &buildings"),
         ModelText::tr(
             "Recommended: P.2109, measured over many buildings; it rises with elevation, as small cells "
             "look up at storeys. TR 38.901 adds walls by material: low loss for traditional, high loss "
             "for efficient buildings, at every elevation alike."),
         choicesOf<EntryModel>()},
        {"efficiency_model", ModelText::tr("Bi&ts of a link"),
         ModelText::tr(
             "Recommended: attenuated Shannon. It is smooth, so that a decibel gained anywhere shows. The "
             "CQI table moves in a scheduler's steps and ends at 64QAM."),
         choicesOf<EfficiencyModel>()},
    };
}

} // namespace

ModelsWindow::ModelsWindow(Workspace& space, QWidget* parent) : QDialog(parent), m_space(space) {
    setWindowTitle(tr("Models and values"));
    setWindowFlag(Qt::Window);
    makeWindow();
    connect(&space.document, &PlanDocument::planChanged, this, &ModelsWindow::refresh);
    connect(&space.document, &PlanDocument::planReplaced, this, &ModelsWindow::refresh);
    connect(m_values, &QTableWidget::itemChanged, this, &ModelsWindow::entered);
    refresh();
}

void ModelsWindow::makeWindow() {
    auto* page = new QVBoxLayout(this);
    auto* models = new QWidget(this);
    addChoices(models);
    page->addWidget(models);
    QLabel* clutter = sentenceLabel(this);
    clutter->setText(
        tr("Street clutter is inside all of these models, so it is never added: a plan has no second loss "
           "for it. Rec. ITU-R P.2108 is in the desk calculator alone."));
    page->addWidget(clutter);
    addValues();
    page->addWidget(m_values, 1);
    m_why = sentenceLabel(this);
    m_why->setAccessibleName(tr("Why this value is usual"));
    m_why->setMinimumHeight(2 * fontMetrics().lineSpacing()); // rows stay where they are
    lookSoft(*m_why);
    page->addWidget(m_why);
    connect(m_values, &QTableWidget::currentCellChanged, this, &ModelsWindow::tellWhy);
    tellWhy();
    m_refused = sentenceLabel(this);
    m_refused->setAccessibleName(tr("What was refused"));
    m_refused->hide();
    page->addWidget(m_refused);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close, this);
    for (QAbstractButton* b : buttons->buttons())
        if (auto* push = qobject_cast<QPushButton*>(b)) push->setAutoDefault(false);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    page->addWidget(buttons);
    openAtSize(*this, {fontMetrics().averageCharWidth() * 110, fontMetrics().height() * 44});
}

void ModelsWindow::addChoices(QWidget* box) {
    auto* grid = new QGridLayout(box);
    grid->setContentsMargins(0, 0, 0, 0);
    grid->setColumnStretch(1, 1);
    int line = 0;
    for (const ChoiceWords& words : choiceWords()) {
        Choice choice{words.setting, new QComboBox(box), {}};
        auto* label = new QLabel(words.label, box);
        label->setBuddy(choice.box);
        QString name = words.label;
        choice.box->setAccessibleName(name.remove(QLatin1Char('&')));
        choice.box->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
        for (std::size_t k = 0; k < words.choices.size(); ++k) {
            choice.names.push_back(words.choices[k].first);
            QString text = words.choices[k].second;
            if (!text.isEmpty()) text[0] = text[0].toUpper();
            choice.box->addItem(k == 0 ? tr("%1 (recommended)").arg(text) : text);
        }
        QLabel* why = sentenceLabel(box);
        why->setText(words.why);
        choice.box->setAccessibleDescription(words.why);
        lookSoft(*why);
        grid->addWidget(label, line, 0);
        grid->addWidget(choice.box, line, 1);
        grid->addWidget(why, line + 1, 1);
        line += 2;
        connect(choice.box, &QComboBox::activated, this,
                [this, at = m_choices.size()](int row) { choose(m_choices[at], row); });
        m_choices.push_back(std::move(choice));
    }
}

void ModelsWindow::addValues() {
    m_values = new QTableWidget(this);
    m_values->setAccessibleName(tr("Values of the computation"));
    m_values->setColumnCount(kModelColumns);
    m_values->setHorizontalHeaderLabels({tr("Value"), tr("Now"), tr("Unit"), tr("Usual")});
    lookLikeTable(*m_values);
    m_values->setTabKeyNavigation(false);
    m_values->setEditTriggers(QAbstractItemView::DoubleClicked | QAbstractItemView::EditKeyPressed |
                              QAbstractItemView::AnyKeyPressed);
    const PlanSettings usual;
    m_filling = true;
    forEachSetting(usual, [this](const char* name, const auto& value) {
        using V = std::remove_cvref_t<decltype(value)>;
        if constexpr (std::is_same_v<V, double> || std::is_same_v<V, int>) {
            if (!isValue(name)) return;
            const int row = m_values->rowCount();
            m_values->insertRow(row);
            m_rows.push_back({name, std::is_same_v<V, int>});
            QString words = coreText(fieldWords(name).words);
            if (!words.isEmpty()) words[0] = words[0].toUpper();
            const QString texts[kModelColumns] = {
                words, {}, coreText(fieldWords(name).unit), numberText(value)};
            for (int c = 0; c < kModelColumns; ++c) {
                auto* item = new QTableWidgetItem(texts[c]);
                item->setToolTip(coreText(reasonOf(name)));
                if (c != Now) item->setFlags(item->flags() & ~Qt::ItemIsEditable);
                if (c == Now || c == Usual) item->setTextAlignment(Qt::AlignRight | Qt::AlignVCenter);
                m_values->setItem(row, c, item);
            }
        }
    });
    m_filling = false;
    m_values->horizontalHeader()->setStretchLastSection(false);
    m_values->horizontalHeader()->setSectionResizeMode(What, QHeaderView::Stretch);
    for (const int c : {Now, Unit, Usual})
        m_values->horizontalHeader()->setSectionResizeMode(c, QHeaderView::ResizeToContents);
}

QString ModelsWindow::whyText() const { return m_why->text(); }

void ModelsWindow::tellWhy() {
    const int row = m_values->currentRow();
    if (row < 0) {
        m_why->setText(tr("Choose a value to read why the usual one is usual, and whence it is."));
        return;
    }
    //: the value's name, then the sentence why
    m_why->setText(tr("%1 \u2013 %2")
                       .arg(m_values->item(row, What)->text(),
                            coreText(reasonOf(m_rows[static_cast<std::size_t>(row)].setting))));
}

QComboBox* ModelsWindow::choice(const std::string& setting) const {
    for (const Choice& c : m_choices)
        if (c.setting == setting) return c.box;
    return nullptr;
}

QString ModelsWindow::refusedText() const { return m_refused->isHidden() ? QString() : m_refused->text(); }

void ModelsWindow::refresh() {
    const bool open = m_space.document.isOpen();
    const bool writable = open && !m_space.document.readOnly();
    const PlanSettings now = open ? *m_space.document.plan().settings : PlanSettings{};
    m_filling = true;
    forEachSetting(now, [this](const char* name, const auto& value) {
        using V = std::remove_cvref_t<decltype(value)>;
        if constexpr (std::is_enum_v<V>) {
            if (QComboBox* box = choice(name)) box->setCurrentIndex(static_cast<int>(value));
        } else if constexpr (std::is_same_v<V, double> || std::is_same_v<V, int>) {
            for (std::size_t k = 0; k < m_rows.size(); ++k) {
                if (m_rows[k].setting != name) continue;
                auto* item = m_values->item(static_cast<int>(k), Now);
                item->setText(numberText(value));
                QFont font = m_values->font();
                font.setBold(item->text() != m_values->item(static_cast<int>(k), Usual)->text());
                item->setFont(font);
            }
        }
    });
    m_filling = false;
    for (const Choice& c : m_choices) c.box->setEnabled(writable);
    m_values->setEnabled(writable);
}

void ModelsWindow::perform(const Result<Edit>& edit) {
    QString refused;
    if (!edit)
        refused = coreText(edit.error().sentence());
    else if (!edit->changes.empty())
        if (const Status done = m_space.document.perform(*edit); !done)
            refused = coreText(done.error().sentence());
    m_refused->setText(refused);
    m_refused->setVisible(!refused.isEmpty());
    refresh();
}

void ModelsWindow::choose(const Choice& choice, int row) {
    if (row < 0 || static_cast<std::size_t>(row) >= choice.names.size()) return;
    perform(
        settingEdit(m_space.document.plan(), choice.setting, choice.names[static_cast<std::size_t>(row)]));
}

void ModelsWindow::entered(QTableWidgetItem* item) {
    if (m_filling || item->column() != Now) return;
    const Value& row = m_rows[static_cast<std::size_t>(item->row())];
    const auto number = numberOf(item->text());
    if (!number || (row.whole && *number != std::floor(*number))) {
        m_refused->setText(tr("“%1” is not a number. The value stays as it was.").arg(item->text()));
        m_refused->show();
        refresh();
        return;
    }
    if (row.whole)
        perform(settingEdit(m_space.document.plan(), row.setting, static_cast<std::int32_t>(*number)));
    else
        perform(settingEdit(m_space.document.plan(), row.setting, *number));
}

} // namespace fw
