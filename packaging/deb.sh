#!/bin/sh
# deb.sh MODE VERSION - a Debian package of a build, build/jackvolt_VERSION-1_ARCH.deb.
# SPDX-License-Identifier: MIT
#
# Laid out by make install, packed by dpkg-deb. What it needs of other packages is what
# dpkg-shlibdeps finds in the program and in the library.
set -eu
cd "$(dirname "$0")/.."
mode=$1 version=$2
unset MAKEFLAGS MAKELEVEL MFLAGS || true
work=build/deb
root=$work/root
arch=$(dpkg --print-architecture)
libdir=/usr/lib/$(dpkg-architecture -qDEB_HOST_MULTIARCH)
package=build/jackvolt_$version-1_$arch.deb
rm -rf "$work"
mkdir -p "$root/DEBIAN" "$work/debian"

make --no-print-directory MODE="$mode" DESTDIR="$PWD/$root" PREFIX=/usr LIBDIR="$libdir" install >"$work/log"
strip --strip-unneeded "$root/usr/bin/jackvolt" "$root$libdir"/libjackvolt.so.0
strip --strip-debug "$root$libdir/libjackvolt.a"
gzip -9n "$root"/usr/share/man/man1/*.1 "$root/usr/share/doc/jackvolt/changelog.md"
mv "$root/usr/share/doc/jackvolt/LICENSE" "$root/usr/share/doc/jackvolt/copyright"

# dpkg-shlibdeps wants a source package around it.
printf 'Source: jackvolt\n\nPackage: jackvolt\nArchitecture: any\n' >"$work/debian/control"
depends=$(cd "$work" && dpkg-shlibdeps -O --ignore-missing-info -Sroot -lroot"$libdir" \
    root/usr/bin/jackvolt root"$libdir"/libjackvolt.so.0 2>>log | sed -n 's/^shlibs:Depends=//p')
[ -n "$depends" ] || { cat "$work/log" >&2; exit 1; }

cat >"$root/DEBIAN/control" <<END
Package: jackvolt
Version: $version-1
Architecture: $arch
Maintainer: The jackvolt project <jackvolt@example.invalid>
Section: electronics
Priority: optional
Installed-Size: $(du -sk --exclude=DEBIAN "$root" | cut -f 1)
Depends: $depends
Suggests: libcjson-dev, libxml2-dev, libsuitesparse-dev, bash-completion
Description: volts, trips, cables and faults of 12 V levelling jacks
 Finds out why a vehicle's powered levelling jacks sag, stop or lose their
 sensors, and what to change: battery, cable, joint, sensor lead. Program,
 library with headers, manual page and example circuits.
 .
 Results are estimates and no certificate of safety.
END
echo 'activate-noawait ldconfig' >"$root/DEBIAN/triggers"
(cd "$root" && find usr -type f -print0 | LC_ALL=C sort -z | xargs -0 md5sum >DEBIAN/md5sums)
find "$root" -type d -exec chmod 755 {} +
chmod 644 "$root"/DEBIAN/*
dpkg-deb --root-owner-group --build "$root" "$package" >>"$work/log"
echo "$package"
