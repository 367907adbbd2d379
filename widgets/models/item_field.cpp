// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/item_field.h"

#include "models/field_makers.h"
#include "plan/validate.h"
#include "text/figures.h"

#include <QLocale>

#include <array>
#include <cmath>

namespace fw {

using field_making::FieldText;

namespace {

using Tables = std::array<std::vector<ItemField>, std::variant_size_v<Item>>;

Tables makeTables() {
    Tables t;
    const auto put = [&t](Kind kind, std::vector<ItemField> fields) {
        t[static_cast<std::size_t>(kind)] = std::move(fields);
    };
    put(Kind::macroSite, field_making::macroSiteFields());
    put(Kind::sector, field_making::sectorFields());
    put(Kind::cell, field_making::cellFields());
    put(Kind::mount, field_making::mountFields());
    put(Kind::radio, field_making::radioFields());
    put(Kind::smallCell, field_making::smallCellFields());
    put(Kind::siteWorks, field_making::siteWorksFields());
    for (const Kind k : {Kind::congestionArea, Kind::building, Kind::tree, Kind::overheadLine, Kind::street,
                         Kind::fibrePoint, Kind::powerTap})
        put(k, field_making::townFields(k));
    return t;
}

QString numberText(double v, const ItemField& f) {
    return figure(v, {}, f.shape == FieldShape::whole ? 0 : f.decimals);
}

// A number as typed: in the user's locale, or with a plain point; a real minus sign counts as one.
std::optional<double> parsed(QString typed) {
    typed = typed.trimmed();
    typed.replace(QChar(u'\u2212'), QLatin1Char('-'));
    bool ok = false;
    double v = QLocale().toDouble(typed, &ok);
    if (!ok) v = QLocale::c().toDouble(typed, &ok);
    if (!ok || !std::isfinite(v)) return std::nullopt;
    return v;
}

Error notANumber(const ItemField& f, const QString& typed) {
    const QString text =
        f.unit.isEmpty() ? FieldText::tr("“%1” is not a number. Enter a number.").arg(typed)
                         : FieldText::tr("“%1” is not a number. Enter a number in %2.").arg(typed, f.unit);
    return {ErrorCode::badInput, text.toStdString()};
}

Result<QVariant> numberValue(const ItemField& f, const QString& typed) {
    const auto v = parsed(typed);
    if (!v) return notANumber(f, typed);
    if (f.shape == FieldShape::whole && (*v != std::floor(*v) || std::fabs(*v) > 1e11))
        return Error{
            ErrorCode::badInput,
            FieldText::tr("“%1” is not a whole number. Enter a whole number.").arg(typed).toStdString()};
    return QVariant(*v);
}

Result<QVariant> listValue(const ItemField& f, const QString& typed) {
    QVariantList out;
    for (const QString& part : typed.split(QLatin1Char(';'), Qt::SkipEmptyParts)) {
        if (part.trimmed().isEmpty()) continue;
        const auto v = parsed(part);
        if (!v) return notANumber(f, part.trimmed());
        out << *v;
    }
    return QVariant(out);
}

// "Tilt" within a sentence: "tilt"; "PCI" stays.
QString inSentence(const QString& label) {
    if (label.size() > 1 && label[1].isUpper()) return label;
    return label.left(1).toLower() + label.mid(1);
}

QString editText(const Plan& plan, const std::vector<ItemId>& items, const ItemField& f,
                 const QVariant& value) {
    const Kind kind = plan.kindOf(items.front()).value_or(Kind::mount);
    const QString what = items.size() == 1 ? QString::fromStdString(plan.label(items.front()))
                                           : kindCount(kind, static_cast<int>(items.size()));
    if (f.key == QLatin1String("chosen"))
        return value.toBool() ? FieldText::tr("Choose %1").arg(what)
                              : FieldText::tr("Leave %1 out").arg(what);
    if (f.key == QLatin1String("name")) return FieldText::tr("Rename %1").arg(what);
    if (!value.isValid() || (f.shape == FieldShape::text && value.toString().isEmpty()))
        return FieldText::tr("Clear %1 of %2").arg(inSentence(f.label), what);
    if (f.shape == FieldShape::text) return FieldText::tr("Change %1 of %2").arg(inSentence(f.label), what);
    return FieldText::tr("Set %1 of %2 to %3").arg(inSentence(f.label), what, fieldText(f, value));
}

} // namespace

const std::vector<ItemField>& itemFields(Kind kind) {
    static const Tables tables = makeTables();
    return tables[static_cast<std::size_t>(kind)];
}

const ItemField* itemField(Kind kind, const QString& key) {
    for (const ItemField& f : itemFields(kind))
        if (f.key == key) return &f;
    return nullptr;
}

QString fieldEditText(const ItemField& f, const QVariant& value) {
    if (!value.isValid()) return {};
    switch (f.shape) {
    case FieldShape::number:
    case FieldShape::whole:
        return numberText(value.toDouble(), f);
    case FieldShape::text:
        return value.toString();
    case FieldShape::choice:
        return f.choices.value(value.toInt());
    case FieldShape::yesNo:
        return value.toBool() ? FieldText::tr("yes") : FieldText::tr("no");
    case FieldShape::numbers: {
        QStringList out;
        for (const QVariant& v : value.toList()) {
            const double d = v.toDouble();
            out << figure(d, {}, d == std::floor(d) ? 0 : f.decimals);
        }
        return out.join(QStringLiteral("; "));
    }
    }
    return {};
}

QString fieldText(const ItemField& f, const QVariant& value) {
    const QString text = fieldEditText(f, value);
    if (text.isEmpty()) return unknownFigure();
    if (f.unit == QStringLiteral("°") && f.shape == FieldShape::number) return text + f.unit;
    return f.unit.isEmpty() ? text : text + QChar(u'\u202f') + f.unit;
}

QString fieldRange(const ItemField& f) {
    if (f.low == 0 && f.high == 0) return {};
    const int decimals = f.low == std::floor(f.low) && f.high == std::floor(f.high) ? 0 : f.decimals;
    return FieldText::tr("%1 to %2").arg(figure(f.low, {}, decimals), figure(f.high, f.unit, decimals));
}

QString fieldTip(const ItemField& f) {
    QStringList lines{f.meaning};
    if (const QString range = fieldRange(f); !range.isEmpty())
        lines << FieldText::tr("Allowed: %1.").arg(range);
    if (f.optional) lines << FieldText::tr("Leave it empty where it is not known.");
    return lines.join(QLatin1Char('\n'));
}

Result<QVariant> typedValue(const ItemField& f, const QString& typed) {
    switch (f.shape) {
    case FieldShape::number:
    case FieldShape::whole:
        if (typed.trimmed().isEmpty() || typed.trimmed() == unknownFigure()) {
            if (f.optional) return QVariant();
            return Error{ErrorCode::badInput,
                         FieldText::tr("A value is needed here. Enter a number.").toStdString()};
        }
        return numberValue(f, typed);
    case FieldShape::numbers:
        return listValue(f, typed);
    case FieldShape::choice: {
        const auto at = f.choices.indexOf(typed.trimmed());
        if (at >= 0) return QVariant(static_cast<int>(at));
        return Error{ErrorCode::badInput, FieldText::tr("“%1” is none of: %2.")
                                              .arg(typed, f.choices.join(QStringLiteral(", ")))
                                              .toStdString()};
    }
    case FieldShape::yesNo:
        return QVariant(typed.trimmed() == FieldText::tr("yes"));
    case FieldShape::text:
        break;
    }
    return QVariant(typed.trimmed());
}

Result<Edit> editOfField(const Plan& plan, const std::vector<ItemId>& items, const ItemField& f,
                         const QVariant& value) {
    Edit edit;
    for (const ItemId id : items) {
        auto item = plan.item(id);
        if (!item) continue;
        const Item before = *item;
        f.write(*item, value);
        if (*item == before) continue;
        if (auto fine = validate(*item); !fine) return fine.error();
        edit.changes.emplace_back(Put{std::move(*item)});
    }
    if (!items.empty()) edit.text = editText(plan, items, f, value).toStdString();
    return edit;
}

std::optional<PlanePoint> placeOf(const Item& item) {
    return std::visit(
        [](const auto& v) -> std::optional<PlanePoint> {
            if constexpr (requires { v.at; })
                return v.at;
            else
                return std::nullopt;
        },
        item);
}

bool setPlace(Item& item, PlanePoint at) {
    return std::visit(
        [at](auto& v) {
            if constexpr (requires { v.at; }) {
                v.at = at;
                return true;
            } else {
                return false;
            }
        },
        item);
}

QString kindWord(Kind kind) { return coreText(nameOf(kind)); }

QString kindCount(Kind kind, int n) {
    switch (kind) {
    case Kind::macroSite:
        return n == 1 ? FieldText::tr("1 macro site") : FieldText::tr("%n macro sites", nullptr, n);
    case Kind::sector:
        return n == 1 ? FieldText::tr("1 sector") : FieldText::tr("%n sectors", nullptr, n);
    case Kind::cell:
        return n == 1 ? FieldText::tr("1 cell") : FieldText::tr("%n cells", nullptr, n);
    case Kind::congestionArea:
        return n == 1 ? FieldText::tr("1 congestion area") : FieldText::tr("%n congestion areas", nullptr, n);
    case Kind::mount:
        return n == 1 ? FieldText::tr("1 mount") : FieldText::tr("%n mounts", nullptr, n);
    case Kind::radio:
        return n == 1 ? FieldText::tr("1 radio") : FieldText::tr("%n radios", nullptr, n);
    case Kind::smallCell:
        return n == 1 ? FieldText::tr("1 small cell") : FieldText::tr("%n small cells", nullptr, n);
    case Kind::building:
        return n == 1 ? FieldText::tr("1 building") : FieldText::tr("%n buildings", nullptr, n);
    case Kind::tree:
        return n == 1 ? FieldText::tr("1 tree") : FieldText::tr("%n trees", nullptr, n);
    case Kind::overheadLine:
        return n == 1 ? FieldText::tr("1 overhead line") : FieldText::tr("%n overhead lines", nullptr, n);
    default:
        return n == 1 ? FieldText::tr("1 item") : FieldText::tr("%n items", nullptr, n);
    }
}

} // namespace fw
