//! Words of the Site place.

/// The words.
pub struct SiteText {
    pub place: &'static str,
    pub unnamed: &'static str,
    pub sites: &'static str,
    pub name: &'static str,
    pub new_site: &'static str,
    pub open_site: &'static str,
    pub stations_count: &'static str,
}

/// English.
#[rustfmt::skip]
pub const EN: SiteText = SiteText {
    place: "Site",
    unnamed: "Site without a name",
    sites: "Sites on this phone",
    name: "Name of the site",
    new_site: "New site",
    open_site: "Open",
    stations_count: "{n} stations",
};

/// Spanish.
#[rustfmt::skip]
pub const ES: SiteText = SiteText {
    place: "Sitio",
    unnamed: "Sitio sin nombre",
    sites: "Sitios en este teléfono",
    name: "Nombre del sitio",
    new_site: "Sitio nuevo",
    open_site: "Abrir",
    stations_count: "{n} estaciones",
};
