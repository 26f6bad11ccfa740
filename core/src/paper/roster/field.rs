//! Which column is which, by its head.

use std::fmt;

/// What a column can hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum RosterField {
    /// The whole name.
    Name,
    /// The given name, where it stands apart.
    GivenName,
    /// The family name, where it stands apart.
    FamilyName,
    /// The short form.
    Called,
    /// Birth date.
    Born,
    /// Telephone or e-mail.
    Contact,
    /// Whom to call.
    EmergencyName,
    /// How to reach them.
    EmergencyReach,
    /// The size of a suit.
    SuitSize,
    /// Of boots.
    BootsSize,
    /// Of fins.
    FinsSize,
    /// Of a mask.
    MaskSize,
    /// Of a BCD.
    BcdSize,
    /// What of it the person brings.
    OwnKit,
}

impl fmt::Display for RosterField {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Name => "name",
            Self::GivenName => "given name",
            Self::FamilyName => "family name",
            Self::Called => "short name",
            Self::Born => "birth date",
            Self::Contact => "contact",
            Self::EmergencyName => "emergency contact's name",
            Self::EmergencyReach => "emergency contact's number",
            Self::SuitSize => "suit size",
            Self::BootsSize => "boots size",
            Self::FinsSize => "fins size",
            Self::MaskSize => "mask size",
            Self::BcdSize => "BCD size",
            Self::OwnKit => "kit of their own",
        })
    }
}

/// Heads as people write them, in the languages around the sea; compared without spaces,
/// signs, accents and capitals.
const HEADS: &[(RosterField, &[&str])] = &[
    (
        RosterField::Name,
        &[
            "name",
            "fullname",
            "student",
            "studentname",
            "participant",
            "diver",
            "teilnehmer",
            "tauchschuler",
            "schuler",
            "vollstandigername",
            "nomcomplet",
            "nombrecompleto",
            "nomecompleto",
            "nomeecognome",
            "naam",
            "volledigenaam",
            "navn",
            "namn",
            "nimi",
            "imieinazwisko",
            "氏名",
            "名前",
            "姓名",
            "이름",
            "имя",
            "фио",
            "الاسم",
            "שם",
        ],
    ),
    (
        RosterField::GivenName,
        &[
            "givenname",
            "givennames",
            "firstname",
            "forename",
            "vorname",
            "prenom",
            "nombre",
            "nome",
            "voornaam",
            "fornavn",
            "fornamn",
            "etunimi",
            "imie",
            "名",
        ],
    ),
    (
        RosterField::FamilyName,
        &[
            "familyname",
            "lastname",
            "surname",
            "nachname",
            "familienname",
            "nomdefamille",
            "nom",
            "apellido",
            "apellidos",
            "cognome",
            "sobrenome",
            "apelido",
            "achternaam",
            "etternavn",
            "efternavn",
            "efternamn",
            "sukunimi",
            "nazwisko",
            "姓",
        ],
    ),
    (
        RosterField::Called,
        &[
            "called",
            "nickname",
            "callname",
            "knownas",
            "shortname",
            "goesby",
            "rufname",
            "spitzname",
            "surnom",
            "apodo",
            "soprannome",
            "roepnaam",
            "kallenavn",
            "tilltalsnamn",
        ],
    ),
    (
        RosterField::Born,
        &[
            "born",
            "birthdate",
            "dateofbirth",
            "dob",
            "birthday",
            "geboren",
            "geburtsdatum",
            "geburtstag",
            "gebdatum",
            "datedenaissance",
            "naissance",
            "fechadenacimiento",
            "nacimiento",
            "datadinascita",
            "nascita",
            "datadenascimento",
            "geboortedatum",
            "fodselsdato",
            "fodelsedatum",
            "syntymaaika",
            "dataurodzenia",
            "生年月日",
            "出生日期",
        ],
    ),
    (
        RosterField::Contact,
        &[
            "contact",
            "phone",
            "telephone",
            "mobile",
            "phonenumber",
            "mobilephone",
            "email",
            "mail",
            "kontakt",
            "telefon",
            "handy",
            "mobil",
            "telefonnummer",
            "mobilnummer",
            "courriel",
            "telefono",
            "correo",
            "cellulare",
            "telefone",
            "telefoon",
            "電話",
            "电话",
        ],
    ),
    (
        RosterField::EmergencyName,
        &[
            "emergencyname",
            "emergencycontact",
            "emergencycontactname",
            "incaseofemergency",
            "ice",
            "nextofkin",
            "notfallkontakt",
            "notfallname",
            "contactdurgence",
            "contactodeemergencia",
            "contattodiemergenza",
            "noodcontact",
            "nodkontakt",
        ],
    ),
    (
        RosterField::EmergencyReach,
        &[
            "emergencyreach",
            "emergencyphone",
            "emergencynumber",
            "emergencytelephone",
            "emergencycontactphone",
            "icephone",
            "notfallnummer",
            "notfalltelefon",
            "telephonedurgence",
            "telefonodeemergencia",
            "telefonodiemergenza",
            "noodnummer",
            "nodnummer",
        ],
    ),
    (
        RosterField::SuitSize,
        &[
            "suit",
            "suitsize",
            "wetsuit",
            "wetsuitsize",
            "anzug",
            "anzuggrosse",
            "anzuggroße",
        ],
    ),
    (
        RosterField::BootsSize,
        &[
            "boots",
            "bootsize",
            "bootssize",
            "fusslinge",
            "fußlinge",
            "fusslingegrosse",
            "fußlingegroße",
        ],
    ),
    (
        RosterField::FinsSize,
        &[
            "fins",
            "finsize",
            "finssize",
            "flossen",
            "flossengrosse",
            "flossengroße",
        ],
    ),
    (
        RosterField::MaskSize,
        &["mask", "masksize", "maske", "maskengrosse", "maskengroße"],
    ),
    (
        RosterField::BcdSize,
        &[
            "bcd",
            "bcdsize",
            "jacket",
            "jacketsize",
            "jacketgrosse",
            "jacketgroße",
        ],
    ),
    (
        RosterField::OwnKit,
        &["ownkit", "ownequipment", "eigeneausrustung", "bringtmit"],
    ),
];

impl RosterField {
    /// The field a head names; `None` for a column that is left alone.
    pub(super) fn of_head(head: &str) -> Option<Self> {
        let plain = plain(head);
        HEADS
            .iter()
            .find(|(_, heads)| heads.contains(&plain.as_str()))
            .map(|(field, _)| *field)
    }
}

/// Small letters and figures alone, without the accents of Latin letters.
pub(in crate::paper) fn plain(head: &str) -> String {
    head.chars()
        .flat_map(char::to_lowercase)
        .filter_map(|c| match c {
            'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' => Some('a'),
            'ç' | 'ć' | 'č' => Some('c'),
            'è' | 'é' | 'ê' | 'ë' | 'ę' => Some('e'),
            'ì' | 'í' | 'î' | 'ï' => Some('i'),
            'ł' => Some('l'),
            'ñ' | 'ń' => Some('n'),
            'ò' | 'ó' | 'ô' | 'õ' | 'ö' | 'ø' => Some('o'),
            'ś' | 'š' => Some('s'),
            'ù' | 'ú' | 'û' | 'ü' => Some('u'),
            c if c.is_alphanumeric() => Some(c),
            _ => None,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heads_are_found_whatever_their_spelling() {
        for (head, field) in [
            ("Name", RosterField::Name),
            (" date of Birth ", RosterField::Born),
            ("Fødselsdato", RosterField::Born),
            ("Prénom", RosterField::GivenName),
            ("E-Mail", RosterField::Contact),
            ("emergency_reach", RosterField::EmergencyReach),
            ("氏名", RosterField::Name),
            ("Anzuggröße", RosterField::SuitSize),
            ("Boots (size)", RosterField::BootsSize),
            ("own_kit", RosterField::OwnKit),
        ] {
            assert_eq!(RosterField::of_head(head), Some(field), "{head}");
        }
        assert_eq!(RosterField::of_head("shoe size"), None);
    }

    #[test]
    fn no_head_names_two_fields() {
        let mut seen = std::collections::BTreeSet::new();
        for (_, heads) in HEADS {
            for head in *heads {
                assert!(seen.insert(*head), "{head}");
                assert_eq!(plain(head), *head, "{head} must be written plainly");
            }
        }
    }
}
