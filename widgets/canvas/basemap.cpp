// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/basemap.h"

#include "canvas/web_tiles.h"
#include "intake/basemap.h"

#include <QPainter>

#include <list>
#include <mutex>

namespace fw {

namespace {

constexpr auto kJob = "basemap";

void blend(QImage& tile, const Picture& picture, int percent) {
    const QImage over(picture.rgba.data(), picture.width, picture.height, 4 * picture.width,
                      QImage::Format_RGBA8888_Premultiplied);
    QPainter p(&tile);
    p.setOpacity(percent / 100.0);
    p.drawImage(0, 0, over);
}

/// Pictures of a file as they were last brought into the plan: tiles are drawn anew for many reasons.
class Kept {
public:
    std::shared_ptr<const Picture> find(const Box& box) {
        const std::lock_guard hold(m_mutex);
        for (auto at = m_kept.begin(); at != m_kept.end(); ++at)
            if (at->first == box) {
                m_kept.splice(m_kept.begin(), m_kept, at);
                return m_kept.front().second;
            }
        return nullptr;
    }
    std::shared_ptr<const Picture> keep(const Box& box, Picture picture) {
        constexpr std::size_t kMost = 40; // a megabyte each
        const std::lock_guard hold(m_mutex);
        m_kept.emplace_front(box, std::make_shared<const Picture>(std::move(picture)));
        if (m_kept.size() > kMost) m_kept.pop_back();
        return m_kept.front().second;
    }

private:
    std::mutex m_mutex;
    std::list<std::pair<Box, std::shared_ptr<const Picture>>> m_kept;
};

} // namespace

/// What workers say, and that outlives who listens.
struct Basemap::Relay {
    std::mutex mutex;
    Basemap* listener = nullptr;
    Kept kept;
    void say(const QString& word) {
        const std::lock_guard hold(mutex);
        if (!listener) return;
        QMetaObject::invokeMethod(
            listener, [b = listener, word] { b->say(word); }, Qt::QueuedConnection);
    }
    void end() {
        const std::lock_guard hold(mutex);
        listener = nullptr;
    }
};

Basemap::Basemap(PlanDocument& document, JobBoard& jobs, QObject* parent)
    : QObject(parent), m_document(document), m_jobs(jobs) {
    connect(&document, &PlanDocument::planReplaced, this, &Basemap::planReplaced);
}

Basemap::~Basemap() {
    if (m_relay) m_relay->end();
}

void Basemap::planReplaced() {
    m_uid = m_document.isOpen() ? m_document.plan().settings->uid : std::string();
    m_choice = m_document.isOpen() ? keptBasemap(m_uid) : BasemapChoice{};
    apply();
    emit choiceChanged();
}

void Basemap::choose(const BasemapChoice& choice) {
    if (!m_document.isOpen() || choice == m_choice) return;
    m_choice = choice;
    keepBasemap(m_uid, m_choice);
    apply();
    emit choiceChanged();
}

void Basemap::setOn(bool on) {
    BasemapChoice c = m_choice;
    c.on = on;
    choose(c);
}

void Basemap::setStrength(int percent) {
    percent = std::clamp(percent, BasemapChoice::kLeastStrength, 100);
    if (percent == m_choice.strength) return;
    m_choice.strength = percent;
    keepBasemap(m_uid, m_choice);
    if (m_painter) {
        makePainter();
        emit changed();
    }
    emit choiceChanged();
}

void Basemap::apply() {
    const bool had = m_painter != nullptr;
    m_jobs.cancel(QString::fromLatin1(kJob));
    if (m_relay) m_relay->end();
    m_relay.reset();
    m_web.reset();
    m_sheet.reset();
    m_reader.reset();
    m_painter.reset();
    m_opening = false;
    m_word.clear();
    if (m_document.isOpen() && m_choice.on) {
        m_relay = std::make_shared<Relay>();
        m_relay->listener = this;
        if (m_choice.kind == BasemapChoice::Kind::file)
            openFile();
        else if (m_choice.kind == BasemapChoice::Kind::address)
            openAddress();
    }
    if (had || m_painter) emit changed();
    emit said();
}

void Basemap::openFile() {
    using Opened = Result<std::shared_ptr<const BasemapReader>>;
    m_opening = true;
    const BasemapFile what{m_choice.file.toStdString(), m_choice.layer.toStdString(), m_choice.epsg};
    auto opened = std::make_shared<std::optional<Opened>>();
    m_jobs.start(
        QString::fromLatin1(kJob), tr("Opening the background map"),
        [opened, what, plan = m_document.frame()](const Job&) { *opened = BasemapReader::open(what, plan); },
        [this, opened](Outcome outcome) {
            if (outcome != Outcome::done || !*opened) return;
            m_opening = false;
            if (!**opened) {
                //: %1 a sentence
                say(tr("Background map: %1").arg(QString::fromStdString((*opened)->error().sentence())));
                return;
            }
            m_reader = ***opened;
            makePainter();
            emit changed();
            emit said();
        },
        JobBoard::Manner::quiet);
}

void Basemap::openAddress() {
    const auto address = TileAddress::from(m_choice.address.toStdString());
    if (!address) {
        say(tr("Background map: %1").arg(QString::fromStdString(address.error().sentence())));
        return;
    }
    m_sheet = std::make_shared<WebSheet>(webLevels(m_choice.fromZoom, m_choice.toZoom), m_document.frame());
    m_web = std::make_unique<WebTiles>(*address, m_sheet, [this] { return m_jobs.resting(); });
    connect(m_web.get(), &WebTiles::arrived, this, &Basemap::arrived);
    connect(m_web.get(), &WebTiles::wordChanged, this, [this] { say(m_web->word()); });
    makePainter();
}

void Basemap::makePainter() {
    const int percent = m_choice.strength;
    if (m_sheet)
        m_painter = std::make_shared<const BasemapPainter>(
            [sheet = m_sheet, percent](QImage& tile, const Box& plane, const std::function<bool()>& goOn) {
                Picture picture(tile.width(), tile.height());
                if (!sheet->draw(plane, picture, goOn)) return false;
                blend(tile, picture, percent);
                return true;
            });
    else if (m_reader)
        m_painter = std::make_shared<const BasemapPainter>([reader = m_reader, relay = m_relay,
                                                            percent](QImage& tile, const Box& plane,
                                                                     const std::function<bool()>& goOn) {
            auto picture = relay->kept.find(plane);
            if (!picture) {
                auto read = reader->read(plane, tile.width(), tile.height(), goOn);
                if (!read && read.error().code == ErrorCode::cancelled) return false;
                if (!read)
                    relay->say(tr("Background map: %1").arg(QString::fromStdString(read.error().sentence())));
                if (!read) return true;
                picture = relay->kept.keep(plane, std::move(*read));
            }
            blend(tile, *picture, percent);
            return true;
        });
}

void Basemap::setView(const Box& plan, double metresPerPixel) {
    if (m_web) m_web->setView(plan, metresPerPixel);
}

bool Basemap::settled() const { return !m_opening && (!m_web || m_web->waiting() == 0); }

void Basemap::say(const QString& word) {
    if (word == m_word) return;
    m_word = word;
    emit said();
}

} // namespace fw
