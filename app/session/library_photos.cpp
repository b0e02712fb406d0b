// SPDX-License-Identifier: GPL-3.0-or-later
// The library's photos, on the keeper's thread.
#include "app/session/library_parts.h"
#include "app/session/photo_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <utility>

namespace potwatch::session {
namespace {

// "rod.jpg", then "rod-2.jpg".
std::string freeName(const std::string& name, const std::vector<std::string>& taken) {
    const std::filesystem::path path(name);
    std::string free = name;
    for (int number = 2; std::find(taken.begin(), taken.end(), free) != taken.end(); ++number) {
        free = fmt::format("{}-{}{}", path.stem().string(), number, path.extension().string());
    }
    return free;
}

} // namespace

void Library::Parts::addPhoto(const book::RunId& id, const std::string& file) {
    if (!store) {
        return;
    }
    Result<book::Photo> photo = readPhotoFile(file);
    Result<std::vector<std::string>> names = store->book().photoNames(id);
    if (!photo || !names) {
        tell(Failed{.what = "the photo was not added",
                    .fault = photo ? std::move(names.error()) : std::move(photo.error())});
        return;
    }
    photo->name = freeName(photo->name, *names);
    if (Result<void> put = store->book().setPhoto(id, *photo); !put) {
        tell(Failed{.what = "the photo was not added", .fault = std::move(put.error())});
        return;
    }
    tell(PhotoAdded{.id = id, .name = photo->name});
    if (id == shown) {
        show(false, {});
    }
}

void Library::Parts::removePhoto(const book::RunId& id, const std::string& name) {
    if (!store) {
        return;
    }
    Result<book::Photo> photo = store->book().photo(id, name);
    if (!photo) {
        return;
    }
    if (Result<void> removed = store->book().removePhoto(id, name); !removed) {
        tell(Failed{.what = "the photo was not removed", .fault = std::move(removed.error())});
        return;
    }
    removed_photos[{id, name}] = std::move(*photo);
    if (id == shown) {
        show(false, {});
    }
}

void Library::Parts::putPhotoBack(const book::RunId& id, const std::string& name) {
    const auto removed = removed_photos.find({id, name});
    if (!store || removed == removed_photos.end()) {
        return;
    }
    if (Result<void> put = store->book().setPhoto(id, removed->second); !put) {
        tell(Failed{.what = "the photo was not put back", .fault = std::move(put.error())});
        return;
    }
    removed_photos.erase(removed);
    if (id == shown) {
        show(false, {});
    }
}

void Library::Parts::readPhoto(const book::RunId& id, const std::string& name, bool large) {
    if (!store) {
        return;
    }
    if (Result<book::Photo> photo = store->book().photo(id, name)) {
        tell(PhotoRead{.id = id, .photo = std::move(*photo), .large = large});
    } else {
        tell(Failed{.what = "the photo could not be read", .fault = std::move(photo.error())});
    }
}

} // namespace potwatch::session
