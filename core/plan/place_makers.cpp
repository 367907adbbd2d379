// SPDX-License-Identifier: GPL-3.0-or-later
// New items: placed by hand, duplicated, pasted.
#include "base/text.h"
#include "plan/edit_makers.h"
#include "plan/edit_words.h"
#include "plan/tables.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <set>

namespace fw {

namespace {

// ---- names

struct Counted {
    std::string stem;
    std::optional<std::uint64_t> number; // what the name ends in; at most nine digits
};
Counted counted(const std::string& name) {
    std::size_t digits = 0;
    while (digits < name.size() && digits < 9 && name[name.size() - 1 - digits] >= '0' &&
           name[name.size() - 1 - digits] <= '9')
        ++digits;
    Counted c{name.substr(0, name.size() - digits), std::nullopt};
    if (digits == 0) return c;
    std::uint64_t n = 0;
    std::from_chars(name.data() + c.stem.size(), name.data() + name.size(), n);
    c.number = n;
    return c;
}

// All names of a plan and those given since.
class Names {
public:
    explicit Names(const Plan& plan) {
        forEachTable(plan, [&](const auto& table) {
            using T = ItemOf<decltype(table)>;
            if constexpr (requires(T t) { t.name; })
                for (const T& item : table) take(item.name);
        });
    }
    void take(const std::string& name) {
        if (name.empty()) return;
        m_taken.insert(name);
        const Counted c = counted(name);
        if (c.number) m_highest[c.stem] = std::max(m_highest[c.stem], *c.number);
    }
    [[nodiscard]] bool has(const std::string& name) const { return m_taken.count(name) > 0; }
    // Takes it as well.
    std::string next(const std::string& model) {
        const Counted c = counted(model);
        const std::string stem = c.number ? c.stem : model + " ";
        const auto highest = m_highest.find(stem);
        std::uint64_t n = (highest == m_highest.end() ? (c.number ? *c.number : 1) : highest->second) + 1;
        std::string name;
        do name = fmt::format("{}{}", stem, n++);
        while (has(name));
        take(name);
        return name;
    }
    [[nodiscard]] bool counts(const std::string& stem) const { return m_highest.count(stem) > 0; }

private:
    std::set<std::string> m_taken;
    std::map<std::string, std::uint64_t> m_highest; // by stem
};

// Numbers for new items.
class Ids {
public:
    explicit Ids(const Plan& plan) : m_last(plan.lastId) {}
    ItemId next() { return {++m_last.v}; }

private:
    ItemId m_last;
};

std::string carrierTag(const Carrier& c) {
    return fmt::format("{}{}", c.technology == Technology::lte ? 'L' : 'N', c.channel);
}

// TS 36.211 6.11 and TS 38.211 7.4.2.1: 504 and 1008 identities. All taken: the lowest.
std::int32_t freePci(const Plan& plan, Technology technology) {
    std::set<std::int32_t> taken;
    for (const Cell& c : plan.cells)
        if (c.carrier.technology == technology) taken.insert(c.pci);
    for (const SmallCell& s : plan.smallCells)
        if (s.carrier.technology == technology) taken.insert(s.pci);
    const std::int32_t count = technology == Technology::lte ? 504 : 1008;
    for (std::int32_t pci = 0; pci < count; ++pci)
        if (!taken.count(pci)) return pci;
    return 0;
}

// The active variant; the first one where the plan has none yet, put into `edit`.
Result<ItemId> variantToWorkIn(const Plan& plan, Ids& ids, Edit& edit) {
    if (plan.settings->activeVariant) return plan.settings->activeVariant;
    if (!plan.variants.empty())
        return Error{
            ErrorCode::badInput,
            CORE_TEXT("No variant is in work. Choose one first; a small cell belongs to a variant.")};
    const Variant first{ids.next(), "Variant A"};
    PlanSettings settings = *plan.settings;
    settings.activeVariant = first.id;
    edit.changes.emplace_back(Put{first});
    edit.changes.emplace_back(PutSettings{std::move(settings)});
    return first.id;
}

} // namespace

std::string nextFreeName(const Plan& plan, const std::string& model) { return Names(plan).next(model); }

Result<Placed> placeSmallCell(const Plan& plan, const NewSmallCell& wanted) {
    const bool onWall = wanted.kind == MountKind::wall || wanted.kind == MountKind::parapet;
    if (onWall && !wanted.faces)
        return Error{
            ErrorCode::badInput,
            CORE_TEXT("A mount on a wall or parapet needs a wall. Place it on the edge of a building.")};
    Ids ids(plan);
    Names names(plan);
    Placed out;
    const auto variant = variantToWorkIn(plan, ids, out.edit);
    if (!variant) return variant.error();

    Mount m;
    m.id = out.mount = ids.next();
    // The first one is counted after the mounts that have names of another kind.
    m.name = names.next(names.counts("S-") ? "S-0" : fmt::format("S-{}", plan.mounts.size()));
    m.kind = wanted.kind;
    m.at = wanted.at;
    m.height = wanted.height;
    m.faces = wanted.faces;
    Radio r;
    r.id = out.radio = ids.next();
    r.mount = m.id;
    r.name = m.name + "a";
    r.azimuth = wanted.azimuth ? TrueAzimuth::of(wanted.azimuth->deg) : wanted.faces.value_or(TrueAzimuth{});
    SmallCell s;
    s.id = out.smallCell = ids.next();
    s.radio = r.id;
    s.variant = *variant;
    s.name = r.name + "-" + carrierTag(wanted.carrier);
    s.carrier = wanted.carrier;
    s.pci = freePci(plan, wanted.carrier.technology);
    out.edit.text = fmt::format("Place {}", m.name);
    out.edit.changes.emplace_back(Put{std::move(m)});
    out.edit.changes.emplace_back(Put{std::move(r)});
    out.edit.changes.emplace_back(Put{std::move(s)});
    return out;
}

// ---- copying

namespace {

bool isWhole(const Item& item) {
    return std::holds_alternative<Mount>(item) || std::holds_alternative<CongestionArea>(item) ||
           std::holds_alternative<FibrePoint>(item) || std::holds_alternative<PowerTap>(item);
}

void addNamed(const Plan& plan, ItemId id, std::vector<Item>& named) {
    if (!id || std::any_of(named.begin(), named.end(), [&](const Item& i) { return idOf(i) == id; })) return;
    if (auto item = plan.item(id)) named.push_back(std::move(*item));
}

void copyMount(const Plan& plan, const Mount& mount, CopiedItems& out) {
    out.items.emplace_back(mount);
    for (const SiteWorks& w : plan.siteWorks)
        if (w.mount == mount.id) out.items.emplace_back(w);
    for (const Radio& r : plan.radios) {
        if (r.mount != mount.id) continue;
        out.items.emplace_back(r);
        addNamed(plan, r.antenna, out.named);
        for (const SmallCell& s : plan.smallCells)
            if (s.radio == r.id) {
                out.items.emplace_back(s);
                addNamed(plan, s.variant, out.named);
            }
    }
}

// Calls f(place&) for every place of an item that is copied.
template <class I, class F>
void forPlaces(I& item, F&& f) {
    std::visit(
        [&](auto& v) {
            using T = std::remove_cvref_t<decltype(v)>;
            if constexpr (std::is_same_v<T, CongestionArea>) {
                for (auto& p : v.area.outer) f(p);
                for (auto& hole : v.area.holes)
                    for (auto& p : hole) f(p);
            } else if constexpr (requires { v.at; }) {
                f(v.at);
            }
        },
        item);
}

} // namespace

CopiedItems copyItems(const Plan& plan, const std::vector<ItemId>& items) {
    CopiedItems out;
    out.epsg = plan.settings->epsg;
    std::set<ItemId> ids;
    for (ItemId id : items) {
        if (const SmallCell* s = plan.smallCells.find(id)) id = s->radio;
        if (const Radio* r = plan.radios.find(id)) id = r->mount;
        ids.insert(id);
    }
    for (const ItemId id : ids) {
        if (const Mount* m = plan.mounts.find(id))
            copyMount(plan, *m, out);
        else if (plan.congestionAreas.find(id) || plan.fibrePoints.find(id) || plan.powerTaps.find(id))
            out.items.push_back(*plan.item(id));
    }
    return out;
}

PlanePoint middleOf(const CopiedItems& copied) {
    Box box;
    for (const Item& item : copied.items) forPlaces(item, [&](const PlanePoint& p) { box.add(p); });
    return box.empty() ? PlanePoint{} : box.centre();
}

namespace {

class Paste {
public:
    Paste(const Plan& plan, const CopiedItems& copied, PlanePoint by)
        : m_plan(plan), m_copied(copied), m_by(by), m_ids(plan), m_names(plan) {}

    Result<Pasted> run() {
        for (const Item& item : m_copied.items) m_new[idOf(item)] = m_ids.next();
        for (const Item& original : m_copied.items) {
            Item item = original;
            if (Status s = std::visit([&](auto& v) { return this->adapt(v); }, item); !s.ok())
                return s.error();
            if (m_skipped) {
                m_skipped = false;
                continue;
            }
            forPlaces(item, [&](PlanePoint& p) { p = p + m_by; });
            if (isWhole(item)) m_out.items.push_back(idOf(item));
            m_out.edit.changes.emplace_back(Put{std::move(item)});
        }
        return std::move(m_out);
    }

private:
    // Names of what hangs on an item follow its new name, as "S-104a" follows "S-104".
    template <class T>
    void rename(T& item, ItemId owner) {
        const std::string old = item.name;
        const auto of = m_renamed.find(owner);
        if (of != m_renamed.end() && !of->second.first.empty() && old.rfind(of->second.first, 0) == 0) {
            const std::string name = of->second.second + old.substr(of->second.first.size());
            item.name = m_names.has(name) ? m_names.next(name) : name;
        } else if (!old.empty()) {
            item.name = m_names.next(old);
        }
        m_names.take(item.name);
        m_renamed[item.id] = {old, item.name}; // by the old id: what hangs on it still names that
    }

    Status found(ItemId& id) {
        const auto it = m_new.find(id);
        if (it == m_new.end())
            return Error{ErrorCode::badInput, CORE_TEXT("What was copied is not complete; copy it again.")};
        id = it->second;
        return Done{};
    }

    template <class T>
    Status adapt(T& item) {
        if constexpr (std::is_same_v<T, Mount> || std::is_same_v<T, CongestionArea> ||
                      std::is_same_v<T, FibrePoint> || std::is_same_v<T, PowerTap>) {
            rename(item, {});
        } else if constexpr (std::is_same_v<T, Radio>) {
            rename(item, item.mount);
            item.antenna = antennaLike(item.antenna);
            if (Status s = found(item.mount); !s.ok()) return s;
        } else if constexpr (std::is_same_v<T, SmallCell>) {
            if (Status s = intoVariant(item); !s.ok() || m_skipped) return s;
            rename(item, item.radio);
            if (Status s = found(item.radio); !s.ok()) return s;
        } else if constexpr (std::is_same_v<T, SiteWorks>) {
            if (Status s = found(item.mount); !s.ok()) return s;
        } else {
            return Error{ErrorCode::badInput,
                         fmt::format("A {} cannot be pasted.", nameOf(fw::kindOf(Item{item})))};
        }
        return found(item.id);
    }

    Status intoVariant(SmallCell& s) {
        const auto variant = variantLike(s.variant);
        if (!variant) return variant.error();
        s.variant = *variant;
        // Two variants of the other plan may come down to one of this: each carrier of a radio once.
        m_skipped = !m_cells.insert({s.radio, s.variant, s.carrier.technology, s.carrier.channel}).second;
        return Done{};
    }

    Result<ItemId> variantLike(ItemId id) {
        const Variant* named = namedItem<Variant>(id);
        if (const Variant* same = m_plan.variants.find(id); same && (!named || same->name == named->name))
            return id;
        if (named)
            for (const Variant& v : m_plan.variants)
                if (v.name == named->name) return v.id;
        if (!m_variant) {
            auto made = variantToWorkIn(m_plan, m_ids, m_out.edit);
            if (!made) return made.error();
            m_variant = *made;
        }
        return m_variant;
    }

    ItemId antennaLike(ItemId id) {
        const AntennaCut* named = namedItem<AntennaCut>(id);
        if (!named) return {};
        const auto sameAs = [&](AntennaCut cut) {
            cut.id = named->id;
            return cut == *named;
        };
        for (const AntennaCut& cut : m_plan.antennaCuts)
            if (sameAs(cut)) return cut.id;
        ItemId& brought = m_antennas[id];
        if (!brought) {
            AntennaCut cut = *named;
            cut.id = brought = m_ids.next();
            if (m_names.has(cut.name)) cut.name = m_names.next(cut.name);
            m_out.edit.changes.emplace_back(Put{std::move(cut)});
        }
        return brought;
    }

    template <class T>
    const T* namedItem(ItemId id) const {
        for (const Item& item : m_copied.named)
            if (const T* t = std::get_if<T>(&item); t && t->id == id) return t;
        return nullptr;
    }

    const Plan& m_plan;
    const CopiedItems& m_copied;
    PlanePoint m_by;
    Ids m_ids;
    Names m_names;
    std::map<ItemId, ItemId> m_new;                                  // by old id
    std::map<ItemId, std::pair<std::string, std::string>> m_renamed; // by old id: old and new name
    std::map<ItemId, ItemId> m_antennas;
    std::set<std::tuple<ItemId, ItemId, Technology, std::int32_t>> m_cells;
    ItemId m_variant;
    bool m_skipped = false;
    Pasted m_out;
};

Result<Pasted> pasted(const Plan& plan, const CopiedItems& copied, PlanePoint by) {
    auto out = Paste(plan, copied, by).run();
    if (!out) return out;
    if (out->items.empty())
        return Error{ErrorCode::badInput,
                     CORE_TEXT("Nothing of it can be copied. Mounts with their radios, congestion "
                               "areas, fibre points and power taps can.")};
    std::sort(out->items.begin(), out->items.end());
    Plan after = plan;
    if (const auto done = apply(after, out->edit); !done) return done.error();
    out->edit.text = fmt::format("Paste {}", nameAll(after, out->items));
    return out;
}

} // namespace

Result<Pasted> pasteItems(const Plan& plan, const CopiedItems& copied, PlanePoint by) {
    return pasted(plan, copied, by);
}

Result<Pasted> duplicateItems(const Plan& plan, const std::vector<ItemId>& items, PlanePoint by) {
    const CopiedItems copied = copyItems(plan, items);
    auto out = pasted(plan, copied, by);
    if (!out) return out;
    std::vector<ItemId> originals;
    for (const Item& item : copied.items)
        if (isWhole(item)) originals.push_back(idOf(item));
    out->edit.text = fmt::format("Duplicate {}", nameAll(plan, originals));
    return out;
}

} // namespace fw
