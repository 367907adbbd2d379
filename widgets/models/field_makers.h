// SPDX-License-Identifier: GPL-3.0-or-later
// How a member of an item becomes a field. Private to widgets/models.
#pragma once

#include "models/item_field.h"

#include <QCoreApplication>

#include <cmath>
#include <type_traits>

namespace fw::field_making {

// Units as the fields show them.
inline const QString kDeg = QStringLiteral("°"), kM = QStringLiteral("m"), kDbm = QStringLiteral("dBm"),
                     kDb = QStringLiteral("dB"), kDbi = QStringLiteral("dBi"), kMhz = QStringLiteral("MHz"),
                     kKhz = QStringLiteral("kHz"), kPercent = QStringLiteral("%");

/// Context of the fields' texts.
class FieldText {
    Q_DECLARE_TR_FUNCTIONS(FieldText)
};

template <class T>
inline constexpr bool isOptional = false;
template <class T>
inline constexpr bool isOptional<std::optional<T>> = true;

inline double plain(double v) { return v; }
inline double plain(std::int32_t v) { return v; }
inline double plain(std::int64_t v) { return static_cast<double>(v); }
inline double plain(TrueAzimuth a) { return a.deg; }
inline double plain(HeightAgl h) { return h.m; }
inline void assign(double& to, double v) { to = v; }
inline void assign(std::int32_t& to, double v) { to = static_cast<std::int32_t>(v); }
inline void assign(std::int64_t& to, double v) { to = static_cast<std::int64_t>(v); }
inline void assign(TrueAzimuth& to, double v) { to.deg = v == 360 ? 0 : v; }
inline void assign(HeightAgl& to, double v) { to.m = v; }

struct Range {
    double low = 0, high = 0;
};

/// A number; whole where the member is. `at` gives a reference into the item; shown = kept * factor.
template <class T, class At>
ItemField number(const char* key, const QString& label, const QString& unit, int decimals, Range range,
                 const QString& meaning, At at, double factor = 1) {
    using Member = std::remove_cvref_t<decltype(at(std::declval<T&>()))>;
    ItemField f;
    f.key = QString::fromLatin1(key);
    f.label = label;
    f.unit = unit;
    f.meaning = meaning;
    const bool whole =
        std::is_same_v<Member, std::int32_t> || std::is_same_v<Member, std::optional<std::int64_t>>;
    f.shape = whole ? FieldShape::whole : FieldShape::number;
    f.decimals = decimals;
    f.low = range.low;
    f.high = range.high;
    f.optional = isOptional<Member>;
    f.read = [at, factor](const Item& item) -> QVariant {
        auto& v = at(const_cast<T&>(std::get<T>(item))); // only looked at
        if constexpr (isOptional<Member>) {
            if (!v) return {};
            return plain(*v) * factor;
        } else {
            return plain(v) * factor;
        }
    };
    f.write = [at, factor](Item& item, const QVariant& value) {
        auto& v = at(std::get<T>(item));
        if constexpr (isOptional<Member>) {
            if (!value.isValid()) {
                v.reset();
                return;
            }
            v.emplace();
            assign(*v, value.toDouble() / factor);
        } else {
            assign(v, value.toDouble() / factor);
        }
    };
    return f;
}

template <class T, class At>
ItemField text(const char* key, const QString& label, const QString& meaning, At at) {
    ItemField f;
    f.key = QString::fromLatin1(key);
    f.label = label;
    f.meaning = meaning;
    f.shape = FieldShape::text;
    f.read = [at](const Item& item) -> QVariant {
        return QString::fromStdString(at(const_cast<T&>(std::get<T>(item))));
    };
    f.write = [at](Item& item, const QVariant& v) { at(std::get<T>(item)) = v.toString().toStdString(); };
    return f;
}

template <class T, class At>
ItemField choice(const char* key, const QString& label, const QStringList& choices, const QString& meaning,
                 At at) {
    using Member = std::remove_cvref_t<decltype(at(std::declval<T&>()))>;
    ItemField f;
    f.key = QString::fromLatin1(key);
    f.label = label;
    f.meaning = meaning;
    f.shape = FieldShape::choice;
    f.choices = choices;
    f.read = [at](const Item& item) -> QVariant {
        return static_cast<int>(at(const_cast<T&>(std::get<T>(item))));
    };
    f.write = [at](Item& item, const QVariant& v) { at(std::get<T>(item)) = static_cast<Member>(v.toInt()); };
    return f;
}

template <class T, class At>
ItemField yesNo(const char* key, const QString& label, const QString& meaning, At at) {
    ItemField f;
    f.key = QString::fromLatin1(key);
    f.label = label;
    f.meaning = meaning;
    f.shape = FieldShape::yesNo;
    f.read = [at](const Item& item) -> QVariant { return bool(at(const_cast<T&>(std::get<T>(item)))); };
    f.write = [at](Item& item, const QVariant& v) { at(std::get<T>(item)) = v.toBool(); };
    return f;
}

template <class T, class At>
ItemField numbers(const char* key, const QString& label, const QString& unit, Range range,
                  const QString& meaning, At at) {
    ItemField f;
    f.key = QString::fromLatin1(key);
    f.label = label;
    f.unit = unit;
    f.meaning = meaning;
    f.shape = FieldShape::numbers;
    f.decimals = 1;
    f.low = range.low;
    f.high = range.high;
    f.read = [at](const Item& item) -> QVariant {
        QVariantList list;
        for (const double v : at(const_cast<T&>(std::get<T>(item)))) list << v;
        return list;
    };
    f.write = [at](Item& item, const QVariant& v) {
        std::vector<double> out;
        for (const QVariant& x : v.toList()) out.push_back(x.toDouble());
        at(std::get<T>(item)) = std::move(out);
    };
    return f;
}

std::vector<ItemField> mountFields();
std::vector<ItemField> radioFields();
std::vector<ItemField> smallCellFields();
std::vector<ItemField> siteWorksFields();
std::vector<ItemField> macroSiteFields();
std::vector<ItemField> sectorFields();
std::vector<ItemField> cellFields();
std::vector<ItemField> townFields(Kind kind); ///< areas, buildings, trees, lines, streets, points

/// East and north, for kinds that stand on one spot.
template <class T>
void addPlace(std::vector<ItemField>& out) {
    out.push_back(number<T>("east_m", FieldText::tr("East"), FieldText::tr("m"), 2, {},
                            FieldText::tr("Easting in the plan's grid."),
                            [](T& t) -> double& { return t.at.x; }));
    out.push_back(number<T>("north_m", FieldText::tr("North"), FieldText::tr("m"), 2, {},
                            FieldText::tr("Northing in the plan's grid."),
                            [](T& t) -> double& { return t.at.y; }));
}

} // namespace fw::field_making
