// SPDX-License-Identifier: GPL-3.0-or-later
// Files of features opened by the one driver that reads their format.
#pragma once

#include "base/job.h"
#include "base/result.h"
#include "intake/file_gate.h"
#include "intake/lone_file.h"

#include <memory>
#include <string>
#include <vector>

class GDALDataset;
class OGRLayer;

namespace fw {

struct CloseVectors {
    void operator()(GDALDataset* data) const;
};

/// The data sets of a file (an archive has one a member) and their layers.
struct VectorFiles {
    struct Layer {
        GDALDataset* data = nullptr;
        OGRLayer* layer = nullptr;
        std::string name;
    };
    std::vector<LoneFile> alone; ///< what the sets read, shown without its neighbours
    std::vector<std::unique_ptr<GDALDataset, CloseVectors>> sets;
    std::vector<Layer> layers;
};

/// How rows of a sheet are taken: the first one as names of the columns, or every one as values.
enum class SheetHeads : bool { firstRow, none };

/// Within a GdalScope that lives as long as the layers are used. Some formats (KML, GML, XLSX) are read whole
/// before the first row comes, by a library that cannot be interrupted: when the job is stopped this returns
/// all the same, with ErrorCode::cancelled (intake/left_behind.h).
Result<VectorFiles> openVectorFiles(const AdmittedFile& file, SheetHeads heads = SheetHeads::firstRow,
                                    const Job& job = {});

} // namespace fw
