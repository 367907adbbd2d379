// SPDX-License-Identifier: GPL-3.0-or-later
#include "theme/paper_fonts.h"

#include <QFontDatabase>
#include <QStringList>

#include <algorithm>
#include <cmath>

static void initPaperFonts() { Q_INIT_RESOURCE(paper_fonts); }

namespace fw {

bool loadPaperFonts() {
    static const bool loaded = [] {
        initPaperFonts();
        const int regular = QFontDatabase::addApplicationFont(QStringLiteral(":/fonts/NotoSans-Regular.ttf"));
        const int bold = QFontDatabase::addApplicationFont(QStringLiteral(":/fonts/NotoSans-Bold.ttf"));
        return regular >= 0 && bold >= 0;
    }();
    return loaded;
}

QFont paperFont(double pixelSize, bool bold) {
    QFont font;
    font.setFamilies({QStringLiteral("Noto Sans"), QStringLiteral("Noto Sans Arabic"),
                      QStringLiteral("Noto Sans Hebrew"), QStringLiteral("Noto Sans CJK SC"),
                      QStringLiteral("Noto Sans CJK JP"), QStringLiteral("DejaVu Sans")});
    font.setPixelSize(std::max(1, static_cast<int>(std::lround(pixelSize))));
    font.setBold(bold);
    font.setHintingPreference(QFont::PreferNoHinting);
    return font;
}

} // namespace fw
