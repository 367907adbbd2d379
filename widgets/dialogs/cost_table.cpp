// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/cost_table.h"

#include <QCoreApplication>
#include <QSettings>

#include <fstream>
#include <iterator>

namespace fw {
namespace {

const QString kOwnTableKey = QStringLiteral("choice/costs");

class CostText {
    Q_DECLARE_TR_FUNCTIONS(CostTable)
};

Result<CostTable> tableIn(const std::filesystem::path& file) {
    const std::string name = file.filename().string();
    std::ifstream in(file, std::ios::binary);
    if (!in)
        return Error{
            ErrorCode::cannotRead,
            CostText::tr(
                "There is no such file, or it cannot be read. Choose another table of costs, or take "
                "the one installed.")
                .toStdString(),
            name};
    const std::string text{std::istreambuf_iterator<char>(in), {}};
    auto costs = costsFromToml(text);
    if (!costs) return Error{costs.error().code, costs.error().sentence(), name};
    return costs;
}

} // namespace

QString ownCostTable() { return QSettings().value(kOwnTableKey).toString(); }

void setOwnCostTable(const QString& file) { QSettings().setValue(kOwnTableKey, file); }

Result<CostTable> costsInUse(const std::filesystem::path& installed) {
    if (const QString own = ownCostTable(); !own.isEmpty()) return tableIn(own.toStdString());
    std::error_code fault;
    if (installed.empty() || !std::filesystem::exists(installed, fault)) return CostTable{};
    return tableIn(installed);
}

} // namespace fw
