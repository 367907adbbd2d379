// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/plan_references.h"

#include "plan/tables.h"
#include "plan/validate.h"
#include "store/rows.h"
#include "store/settings_rows.h"

namespace fw {

namespace {

template <class T>
void empty(T& item, std::string_view field) {
    if constexpr (requires { item.antenna; })
        if (field == "antenna") item.antenna = {};
    if constexpr (std::is_same_v<T, Waiver>)
        if (field == "variant") item.variant = {};
}

class References {
public:
    References(Plan& plan, std::unordered_set<std::uint32_t> aside, FaultSink& sink)
        : m_plan(plan), m_aside(std::move(aside)), m_sink(sink) {}

    Status settle() {
        if (Status s = lookAtSettings(); !s.ok()) return s;
        do {
            m_removed = false;
            Status status = Done{};
            forEachTable(m_plan, [&](auto& table) {
                if (status.ok()) status = lookAt(table);
            });
            if (!status.ok()) return status;
        } while (m_removed);
        return lookAtSettings(); // its variant may have gone
    }

private:
    Status lookAtSettings() {
        const Reference ref = activeVariantOf(*m_plan.settings);
        const Status s = checkReference(m_plan, ref, "settings of the plan");
        if (s.ok()) return Done{};
        PlanFault fault = faultOf(s.error(), ref);
        fault.table = kSettingsTable;
        fault.field = "active_variant";
        fault.mend = Mend::writeSettings;
        PlanSettings settings = *m_plan.settings;
        settings.activeVariant = {};
        m_plan.settings = std::make_shared<const PlanSettings>(std::move(settings));
        return m_sink.take(std::move(fault));
    }

    template <class Table>
    Status lookAt(Table& table) {
        using T = ItemOf<Table>;
        if constexpr (kNamesOthers<T>) {
            std::vector<ItemId> gone;
            std::vector<T> emptied;
            for (const T& item : table)
                if (Status s = lookAtItem(item, gone, emptied); !s.ok()) return s;
            for (T& item : emptied) table.put(std::move(item));
            for (const ItemId id : gone) {
                table.remove(id);
                m_aside.insert(id.v);
                m_removed = true;
            }
        }
        return Done{};
    }

    template <class T>
    Status lookAtItem(const T& item, std::vector<ItemId>& gone, std::vector<T>& emptied) {
        Status status = Done{};
        T kept = item;
        bool hangs = true, changed = false;
        forEachReference(item, [&](const Reference& ref) {
            if (!status.ok()) return;
            const Status held = checkReference(m_plan, ref, {});
            if (held.ok()) return;
            PlanFault fault = faultOf(held.error(), ref);
            fault.table = layerOf(kindOfType<T>()).table;
            fault.uid = item.id.v;
            fault.label = labelOf(Item{item});
            fault.mend = ref.required ? Mend::removeRow : Mend::clearField;
            fault.field = ref.field;
            status = m_sink.take(std::move(fault));
            hangs = hangs && !ref.required;
            changed = true;
            empty(kept, ref.field);
        });
        if (!hangs)
            gone.push_back(item.id);
        else if (changed)
            emptied.push_back(std::move(kept));
        return status;
    }

    PlanFault faultOf(const Error& error, const Reference& ref) const {
        PlanFault fault;
        fault.label = error.context;
        fault.what = error.text;
        if (fault.what.ends_with('.')) fault.what.pop_back();
        if (m_aside.contains(ref.id.v))
            fault.what = fmt::format("the {} is item {}, which is left out itself", ref.field, ref.id.v);
        return fault;
    }

    Plan& m_plan;
    std::unordered_set<std::uint32_t> m_aside;
    FaultSink& m_sink;
    bool m_removed = false;
};

} // namespace

Status settleReferences(Plan& plan, std::unordered_set<std::uint32_t> aside, FaultSink& sink) {
    return References(plan, std::move(aside), sink).settle();
}

} // namespace fw
