// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/facts_section.h"

#include "bench/antenna_facts.h"
#include "bench/panel_looks.h"
#include "delivery/place_text.h"
#include "plan/validate.h"
#include "text/figures.h"

#include <QCheckBox>
#include <QComboBox>
#include <QGridLayout>
#include <QKeyEvent>
#include <QLabel>
#include <QLineEdit>
#include <QRegularExpression>
#include <QToolButton>
#include <QVBoxLayout>

#include <algorithm>

namespace fw {

namespace {

const QString kPlace = QStringLiteral("place");

// Fields that no two items share.
bool ownToEach(const QString& key) {
    return key == QLatin1String("name") || key == QLatin1String("east_m") ||
           key == QLatin1String("north_m") || key == kPlace;
}

} // namespace

FactsSection::FactsSection(Kind kind, Workspace& space, const std::optional<MagneticField>& field,
                           QWidget* parent)
    : QWidget(parent), m_kind(kind), m_space(space) {
    m_head = new QToolButton(this);
    m_head->setToolButtonStyle(Qt::ToolButtonTextBesideIcon);
    m_head->setAutoRaise(true);
    m_head->setArrowType(Qt::DownArrow);
    m_head->setSizePolicy(QSizePolicy::Ignored, QSizePolicy::Fixed);
    m_body = new QWidget(this);
    m_grid = new QGridLayout(m_body);
    m_grid->setContentsMargins(8, 0, 8, 6);
    m_grid->setHorizontalSpacing(6);
    m_grid->setVerticalSpacing(2);
    m_grid->setColumnStretch(1, 1);
    auto* all = new QVBoxLayout(this);
    all->setContentsMargins(0, 0, 0, 0);
    all->setSpacing(0);
    all->addWidget(m_head);
    all->addWidget(m_body);
    int line = 0;
    for (const ItemField& f : itemFields(kind)) {
        if (f.key == QLatin1String("east_m")) addField(nullptr, line);
        addField(&f, line);
    }
    for (DerivedFact& f : derivedFacts(kind, space, field)) addDerived(std::move(f), line);
    if (kind == Kind::radio || kind == Kind::sector) {
        m_antenna = new AntennaFacts(space, m_body);
        m_grid->addWidget(m_antenna, line, 0, 1, 3);
    }
    connect(m_head, &QToolButton::clicked, this, [this] { setFolded(!folded()); });
    look();
}

bool FactsSection::folded() const { return m_body->isHidden(); }
void FactsSection::setFolded(bool folded) {
    m_body->setVisible(!folded);
    m_head->setArrowType(!folded                                ? Qt::DownArrow
                         : layoutDirection() == Qt::LeftToRight ? Qt::RightArrow
                                                                : Qt::LeftArrow);
}

QWidget* FactsSection::makeEditor(const ItemField* field) {
    if (field && field->shape == FieldShape::choice) {
        auto* box = new QComboBox(m_body);
        box->addItems(field->choices);
        box->setFocusPolicy(Qt::StrongFocus); // a wheel that scrolls the panel must not change a value
        box->setMinimumContentsLength(6);
        box->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
        connect(box, &QComboBox::activated, this, [this, box] {
            if (FieldRow* row = rowOf(box)) commit(*row);
        });
        return box;
    }
    if (field && field->shape == FieldShape::yesNo) {
        auto* box = new QCheckBox(m_body);
        connect(box, &QCheckBox::clicked, this, [this, box] {
            if (FieldRow* row = rowOf(box)) commit(*row);
        });
        return box;
    }
    auto* line = new QLineEdit(m_body);
    line->setMinimumWidth(fontMetrics().averageCharWidth() * 8);
    if (field && (field->shape == FieldShape::number || field->shape == FieldShape::whole))
        line->setAlignment(Qt::AlignRight | Qt::AlignVCenter);
    connect(line, &QLineEdit::editingFinished, this, [this, line] {
        FieldRow* row = rowOf(line);
        if (row && line->isModified()) commit(*row);
    });
    return line;
}

void FactsSection::addField(const ItemField* field, int& line) {
    FieldRow row;
    row.field = field;
    const QString name = field ? field->label : tr("Lat, lon");
    const QString tip =
        field ? fieldTip(*field) : tr("Latitude and longitude (WGS 84, degrees), separated by a comma.");
    row.label = new QLabel(name, m_body);
    row.edit = makeEditor(field);
    row.label->setBuddy(row.edit);
    row.edit->setAccessibleName(field && !field->unit.isEmpty() ? tr("%1 in %2").arg(name, field->unit)
                                                                : name);
    row.unit = new QLabel(field ? field->unit : QString(), m_body);
    row.refused = new QLabel(m_body);
    row.refused->setWordWrap(true);
    row.refused->setTextFormat(Qt::PlainText);
    row.refused->hide();
    for (QWidget* w : std::initializer_list<QWidget*>{row.label, row.edit, row.unit}) w->setToolTip(tip);
    row.edit->installEventFilter(this);
    m_grid->addWidget(row.label, line, 0);
    const bool wide = row.unit->text().isEmpty();
    m_grid->addWidget(row.edit, line, 1, 1, wide ? 2 : 1);
    row.unit->setVisible(!wide);
    if (!wide) m_grid->addWidget(row.unit, line, 2);
    m_grid->addWidget(row.refused, line + 1, 0, 1, 3);
    line += 2;
    m_fields.push_back(row);
}

void FactsSection::addDerived(DerivedFact fact, int& line) {
    DerivedRow row;
    row.label = new QLabel(fact.label, m_body);
    row.value = new QLabel(m_body);
    row.value->setTextFormat(Qt::PlainText);
    row.value->setAlignment(Qt::AlignRight | Qt::AlignVCenter);
    row.value->setSizePolicy(QSizePolicy::Ignored, QSizePolicy::Preferred);
    row.value->setTextInteractionFlags(Qt::TextSelectableByMouse);
    row.label->setToolTip(fact.meaning);
    row.value->setToolTip(fact.meaning);
    m_grid->addWidget(row.label, line, 0);
    m_grid->addWidget(row.value, line, 1, 1, fact.working ? 1 : 2);
    if (fact.working) {
        row.open = new QToolButton(m_body);
        row.open->setText(tr("…"));
        row.open->setAutoRaise(true);
        row.open->setToolTip(tr("Show how it is worked out"));
        row.open->setAccessibleName(tr("Working of %1").arg(fact.label));
        m_grid->addWidget(row.open, line, 2);
        connect(row.open, &QToolButton::clicked, this, [this, working = fact.working] {
            if (m_items.size() != 1) return;
            if (auto w = working(m_items.front())) emit workingWanted(*std::move(w));
        });
    }
    ++line;
    row.fact = std::move(fact);
    m_derived.push_back(std::move(row));
}

FactsSection::FieldRow* FactsSection::rowOf(QObject* edit) {
    for (FieldRow& r : m_fields)
        if (r.edit == edit) return &r;
    return nullptr;
}

void FactsSection::commitTyped() {
    for (FieldRow& r : m_fields)
        if (auto* line = qobject_cast<QLineEdit*>(r.edit); line && line->isModified() && !m_items.empty())
            commit(r);
}

void FactsSection::setItems(const std::vector<ItemId>& items) {
    if (items != m_items) {
        commitTyped();
        m_items = items;
        const bool one = m_items.size() == 1;
        for (FieldRow& r : m_fields) {
            r.refused->hide();
            const bool own = ownToEach(r.field ? r.field->key : kPlace);
            const bool has = one || !own;
            for (QWidget* w : std::initializer_list<QWidget*>{r.label, r.edit}) w->setVisible(has);
            r.unit->setVisible(has && !r.unit->text().isEmpty());
            if (auto* line = qobject_cast<QLineEdit*>(r.edit)) line->setModified(false);
        }
        for (DerivedRow& r : m_derived) {
            r.label->setVisible(one);
            r.value->setVisible(one);
            if (r.open) r.open->setVisible(one);
        }
    }
    refresh();
}

void FactsSection::refreshHead() {
    const Plan& plan = m_space.document.plan();
    QString head = kindWord(m_kind);
    if (m_items.size() == 1) {
        const QString label = QString::fromStdString(plan.label(m_items.front()));
        //: kind and name: "mount S-104"
        head = label.startsWith(head) ? label : tr("%1 %2").arg(head, label);
    } else {
        head = kindCount(m_kind, static_cast<int>(m_items.size()));
    }
    if (!head.isEmpty()) head[0] = head[0].toUpper();
    if (m_head->toolTip() == head) return;
    m_head->setToolTip(head);
    m_head->setText(
        m_head->fontMetrics().elidedText(head, Qt::ElideRight, fontMetrics().averageCharWidth() * 30));
}

void FactsSection::refresh() {
    if (m_items.empty()) return;
    refreshHead();
    std::vector<Item> now;
    for (const ItemId id : m_items) {
        std::optional<Item> item;
        if (m_space.drag.active() && m_kind == Kind::mount) {
            if (auto m = m_space.drag.mount(id)) item = *std::move(m);
        } else if (m_space.drag.active() && m_kind == Kind::radio) {
            if (auto r = m_space.drag.radio(id)) item = *std::move(r);
        }
        if (!item) item = m_space.document.plan().item(id);
        if (item && kindOf(*item) == m_kind) now.push_back(*std::move(item));
    }
    if (now.empty()) return;
    for (FieldRow& r : m_fields) refreshField(r, now);
    if (m_antenna) m_antenna->setItems(m_items);
    if (m_items.size() != 1) return;
    for (DerivedRow& r : m_derived) {
        const QString text = r.fact.text(m_items.front());
        if (r.value->text() != text) {
            r.value->setText(text);
            r.value->setToolTip(r.fact.meaning);
        }
    }
}

QString FactsSection::placeText(const Item& item) const {
    const auto at = placeOf(item);
    if (!at || !m_space.document.isOpen()) return {};
    const auto geo = m_space.document.frame().toGeo(*at);
    if (!geo) return {};
    return QString::fromStdString(degreesText(geo->latDeg) + ", " + degreesText(geo->lonDeg));
}

void FactsSection::refreshField(FieldRow& r, const std::vector<Item>& now) {
    const auto read = [&](const Item& item) -> QVariant {
        return r.field ? r.field->read(item) : QVariant(placeText(item));
    };
    const QVariant first = read(now.front());
    r.several = std::any_of(now.begin() + 1, now.end(), [&](const Item& i) { return read(i) != first; });
    r.shown = first;
    const bool writable = !m_space.document.readOnly();
    if (r.edit->isEnabled() != writable) r.edit->setEnabled(writable);
    if (auto* line = qobject_cast<QLineEdit*>(r.edit); line && line->isModified() && line->hasFocus()) return;
    showValue(r);
}

void FactsSection::showValue(FieldRow& r) {
    if (auto* line = qobject_cast<QLineEdit*>(r.edit)) {
        const QString text = r.several ? QString()
                             : r.field ? fieldEditText(*r.field, r.shown)
                                       : r.shown.toString();
        const QString hint = r.several ? tr("several") : unknownFigure();
        if (line->placeholderText() != hint) line->setPlaceholderText(hint);
        if (line->text() == text) return;
        line->setText(text);
        line->setCursorPosition(0);
    } else if (auto* choice = qobject_cast<QComboBox*>(r.edit)) {
        choice->setCurrentIndex(r.several ? -1 : r.shown.toInt());
    } else if (auto* tick = qobject_cast<QCheckBox*>(r.edit)) {
        tick->setCheckState(r.several          ? Qt::PartiallyChecked
                            : r.shown.toBool() ? Qt::Checked
                                               : Qt::Unchecked);
    }
}

Result<Edit> FactsSection::placeEdit(const QString& typed) const {
    const Error unread{ErrorCode::badInput,
                       tr("“%1” is no place. Enter latitude and longitude in degrees, with a comma between.")
                           .arg(typed)
                           .toStdString()};
    static const QRegularExpression parts(QStringLiteral("[,;\\s]+"));
    const QStringList numbers = typed.split(parts, Qt::SkipEmptyParts);
    if (numbers.size() != 2) return unread;
    bool lat = false, lon = false;
    GeoPoint geo;
    geo.latDeg = QLocale::c().toDouble(numbers[0], &lat);
    geo.lonDeg = QLocale::c().toDouble(numbers[1], &lon);
    if (!lat || !lon || std::abs(geo.latDeg) > 90 || std::abs(geo.lonDeg) > 180) return unread;
    const auto plane = m_space.document.frame().toPlane(geo);
    if (!plane) return plane.error();
    auto item = m_space.document.plan().item(m_items.front());
    if (!item || !setPlace(*item, *plane)) return unread;
    if (auto fine = validate(*item); !fine) return fine.error();
    const QString name = QString::fromStdString(m_space.document.plan().label(m_items.front()));
    return Edit{tr("Move %1").arg(name).toStdString(), {Put{*item}}};
}

Result<Edit> FactsSection::editFor(const FieldRow& row, const QString& typed) const {
    if (!row.field) return placeEdit(typed);
    QVariant value;
    if (auto* choice = qobject_cast<QComboBox*>(row.edit)) {
        value = choice->currentIndex();
    } else if (auto* tick = qobject_cast<QCheckBox*>(row.edit)) {
        value = tick->isChecked();
    } else {
        auto parsed = typedValue(*row.field, typed);
        if (!parsed) return parsed.error();
        value = *parsed;
    }
    return editOfField(m_space.document.plan(), m_items, *row.field, value);
}

void FactsSection::commit(FieldRow& row) {
    if (m_committing || m_items.empty()) return;
    m_committing = true;
    auto* line = qobject_cast<QLineEdit*>(row.edit);
    const QString typed = line ? line->text() : QString();
    const bool same = line && !row.several &&
                      typed == (row.field ? fieldEditText(*row.field, row.shown) : row.shown.toString());
    if (line) line->setModified(false);
    QString refused;
    if (!same) {
        const auto edit = editFor(row, typed);
        if (!edit)
            refused = QString::fromStdString(edit.error().sentence());
        else if (!edit->changes.empty())
            if (const Status done = m_space.document.perform(*edit); !done)
                refused = QString::fromStdString(done.error().sentence());
    }
    row.refused->setText(refused);
    row.refused->setVisible(!refused.isEmpty());
    m_committing = false;
    refresh();
    if (!refused.isEmpty()) showValue(row); // the old value is kept
}

QWidget* FactsSection::editor(const QString& key) const {
    for (const FieldRow& r : m_fields)
        if ((r.field ? r.field->key : kPlace) == key) return r.edit;
    return nullptr;
}
QString FactsSection::refusedText(const QString& key) const {
    for (const FieldRow& r : m_fields)
        if ((r.field ? r.field->key : kPlace) == key && !r.refused->isHidden()) return r.refused->text();
    return {};
}
QString FactsSection::derivedText(const QString& label) const {
    for (const DerivedRow& r : m_derived)
        if (r.fact.label == label) return r.value->text();
    return {};
}

bool FactsSection::eventFilter(QObject* watched, QEvent* event) {
    if (event->type() == QEvent::Wheel && qobject_cast<QComboBox*>(watched)) {
        event->ignore();
        return true;
    }
    if (event->type() == QEvent::KeyPress && static_cast<QKeyEvent*>(event)->key() == Qt::Key_Escape) {
        auto* line = qobject_cast<QLineEdit*>(watched);
        FieldRow* row = rowOf(watched);
        if (line && row && line->isModified()) { // what was there before
            line->setModified(false);
            row->refused->hide();
            showValue(*row);
            line->selectAll();
            return true;
        }
    }
    return QWidget::eventFilter(watched, event);
}

void FactsSection::changeEvent(QEvent* event) {
    QWidget::changeEvent(event);
    if (event->type() == QEvent::PaletteChange || event->type() == QEvent::FontChange) look();
}

void FactsSection::look() {
    QFont bold = font();
    bold.setBold(true);
    if (m_head->font() != bold) m_head->setFont(bold);
    for (FieldRow& r : m_fields) {
        lookSoft(*r.label);
        lookSoft(*r.unit);
        lookRefused(*r.refused);
    }
    for (DerivedRow& r : m_derived) lookSoft(*r.label);
}

} // namespace fw
