//! The stable codes of all diagnostics. `docs/diagnostics.md` is made from this table.

/// A stable code. Codes are never reused for another meaning.
#[derive(Debug, PartialEq, Eq)]
pub struct Code {
    /// `LW` and four digits.
    pub id: &'static str,
    /// What it says, in a few words.
    pub title: &'static str,
    /// Why it is raised and what to do, in one or two sentences for the reference page.
    pub explanation: &'static str,
}

macro_rules! codes {
    ($($name:ident = $id:literal, $title:literal, $explanation:literal;)*) => {
        $(#[doc = $title] pub static $name: Code = Code { id: $id, title: $title, explanation: $explanation };)*
        /// Every code, in order.
        pub static ALL: &[&Code] = &[$(&$name),*];
    };
}

codes! {
    // LW01xx: the text of a recipe.
    TOML_SYNTAX = "LW0101", "not TOML", "The text breaks the rules of TOML: a quote or bracket that is not closed, a key without a value, the same key twice.";
    UNKNOWN_KEY = "LW0102", "unknown key", "The recipe language has no such key or table in this place. `docs/recipe.md` lists all keys.";
    WRONG_TYPE = "LW0103", "wrong type", "The key takes another kind of value: a number, a text in quotes, true or false, a list.";
    OUT_OF_RANGE = "LW0104", "out of range", "The value lies outside the range of its key. `docs/recipe.md` lists all ranges.";
    NOT_FINITE = "LW0105", "not a finite number", "TOML knows nan and inf; a look does not.";
    UNKNOWN_NAME = "LW0106", "unknown name", "No encoding, gamut, display or choice has this name. Names are compared without case, spaces, hyphens, dots and underscores.";
    EXCLUSIVE_KEYS = "LW0107", "keys that exclude each other", "Two keys say the same thing in two units. Keep one.";
    MISSING_KEY = "LW0108", "missing key", "A key that has no default is not written, neither in this recipe nor in one that it extends.";
    UNKNOWN_VERSION = "LW0109", "unknown version of the language", "`lookwright = 1` is the only version so far. A file of a later version needs a later program.";
    EMPTY_TEXT = "LW0110", "empty text", "A name must not be empty.";
    DUPLICATE_BAND = "LW0111", "duplicate band", "Two bands of one file have the same name, so that a recipe which extends it could not say which one it changes. Bands of an exposure map differ in more than case.";
    SHOW_NOT_RECIPE = "LW0112", "a show, not a recipe", "The file declares a show, and the command works on one look. Name one of the recipes that the show lists.";
    EXTENDS_UNREADABLE = "LW0113", "base recipe can't be read", "The file named by `extends` does not exist or can't be read. The path is relative to the file that names it.";
    EXTENDS_CYCLE = "LW0114", "recipes extend each other", "Following `extends` leads back to a file that was read already.";
    NOT_TEXT = "LW0115", "not a recipe", "The file is not UTF-8 text, or far too large for a recipe.";

    STEP_IMPOSSIBLE = "LW0116", "impossible step", "A relative change (`--set key=+5`, `key+=5`, `key-=5`) needs a key that holds a number, written in that unit.";

    // LW02xx: what a recipe means.
    EXPOSURE_INDEX = "LW0201", "exposure index", "The encoding's curve depends on the exposure index, and the recipe gives none, or one that the maker did not publish.";
    INDEX_NOT_USED = "LW0202", "exposure index without effect", "The encoding has one curve for all exposure indices; the key does nothing.";
    WEAK_SOURCE = "LW0203", "known from third parties only", "No document of the maker or standard was found for this encoding or gamut. Check it against a recorded chart.";
    FOREIGN_GAMUT = "LW0204", "gamut of another encoding", "The gamut is not one that was published together with the encoding. Often a wrong line was picked from a menu.";
    DISPLAY_MISMATCH = "LW0205", "display keys that don't fit", "The display encoding is defined for another gamut only.";
    TRIM_ROW_SUM = "LW0206", "trim changes neutrals", "Each row of the trim's matrix, together with that of its root terms, must sum to 1 to within 1e-6.";
    LARGE_SHIFT = "LW0207", "very large white shift", "The shift is larger than a full colour temperature filter. Possible, but doubtful.";
    TINT_IMPOSSIBLE = "LW0208", "impossible tint", "The shifted white gives a neutral a channel at or below zero: no light looks like that.";
    SPLIT_FALLS = "LW0209", "split turns a channel back", "Somewhere a brighter grey gets a darker channel, because two very different tints meet over too few stops.";
    TONE_IMPOSSIBLE = "LW0210", "impossible tone", "The straight line is longer than the way to white or black, or grey lies below black.";
    TONE_STEEPENS = "LW0211", "toe or shoulder steeper than the straight line", "The curve has to cover more display stops than its contrast reaches, and gets steeper before it ends.";
    TONE_FLAT_SHOULDER = "LW0212", "no room for highlights", "The straight line uses up nearly all of the display, so that highlights are squeezed together.";
    HUE_HOLD_TINT = "LW0213", "hue hold keeps the tint in white", "A strong `hue_hold` keeps the ratio of the channels, so that a tinted highlight never reaches white.";
    BAND_FOLDS = "LW0214", "hue band folds", "The shift is larger than 0.6 of the band's half-width, so that hues pass their neighbours and a smooth gradient turns back.";
    GRADE_NOT_FINITE = "LW0215", "grade is not finite", "The CDL sends a colour of the table to infinity: slope, offset or power are too strong together.";
    NO_FILE_NAME = "LW0216", "name makes no file name", "Nothing of the look's name can stand in a file name.";
    TRANSLITERATED = "LW0217", "name was transliterated", "Cube files are ASCII. Characters outside it were replaced by the nearest letters.";
    SAME_FILE = "LW0218", "two recipes, one file", "Two recipes would write the same file. Give one of the looks another name.";
    MAP_BAND_EMPTY = "LW0219", "band of an exposure map without width", "A band begins at `from_stops` and ends at `to_stops`, which lies above.";
    MAP_BANDS_OVERLAP = "LW0220", "bands of an exposure map that overlap", "One exposure can't show two colours. A band may begin exactly where another ends.";
    MAP_NAME_TAKEN = "LW0221", "name of a band that every map has", "Noise floor and clip are part of every exposure map; another band needs another name.";
    MAP_BAND_HIDDEN = "LW0222", "band that is never shown", "The band lies below the noise floor or above clip of this camera, which are shown instead. Move the band, or the two with `noise_stops` and `clip_signal`.";
    MAP_BAND_LOST = "LW0223", "band that the table can't hold", "The points of the table stand too far apart for the band: it is missing, pale, or its edge is off by more than a quarter of its width. The message says how many points hold it.";
    MAP_DIFFERS = "LW0224", "looks with different exposure maps", "A show has one exposure map for each camera and monitor, and the recipes of two of its looks ask for different ones. Write `[map]` into the recipe that both extend.";
    GRADE_FILE = "LW0225", "file of a correction can't be read", "The file named by `grade.from` does not exist or can't be read. The path is relative to the recipe that names it.";
    GRADE_CHOICE = "LW0226", "which correction is meant", "The file holds several corrections, or none of that id. `grade.from_id` names one by its id; of an EDL by the number of its event or by its clip.";
    GRADE_ID_UNUSED = "LW0227", "correction named without its file", "`grade.from_id` chooses from the file that `grade.from` names; without one it does nothing.";
    GRADE_SPACE = "LW0228", "correction made for another space", "The correction says itself that it belongs to another space than ACEScct, where the grade works. The same ten numbers in another space are another look.";
    AFTER_FILE = "LW0229", "cube after the look can't be read", "The file named by `after.cube` does not exist or can't be read. The path is relative to the recipe that names it.";

    // LW03xx: cube files.
    CUBE_NOT_TEXT = "LW0301", "not a text file", "The file holds control bytes that no cube file has: it is another format, damaged, or saved in a two-byte encoding. Export it again.";
    CUBE_NO_SIZE = "LW0302", "no size before the table", "A cube file says LUT_3D_SIZE (or LUT_1D_SIZE) once, before the first row.";
    CUBE_SIZE = "LW0303", "size that can't be", "A 3D table has 2 to 256 points a side, a 1D table 2 to 65536, written as a whole number.";
    CUBE_NUMBER = "LW0304", "not a number", "A value is a finite decimal number with a point: no words, no decimal comma, no NaN, no infinity.";
    CUBE_COLUMNS = "LW0305", "wrong number of values", "A row and a domain have three values, an input range two, a size one.";
    CUBE_ROWS = "LW0306", "wrong number of rows", "The table needs exactly as many rows as its size promises. A file with fewer was cut off; one with more is two files in one, or has the wrong size.";
    CUBE_KEYWORD_TWICE = "LW0307", "keyword given twice", "Each keyword may stand once. Which of the two was meant can't be known.";
    CUBE_KEYWORD_LATE = "LW0308", "keyword after the first row", "All keywords stand before the table.";
    CUBE_KEYWORD_UNKNOWN = "LW0309", "unknown keyword", "A keyword that is not known could change what the table means, so it is never skipped.";
    CUBE_VIDEO_RANGE = "LW0310", "video range declared by a keyword", "The file says that its input or output is legal (narrow) range in a way that is not part of the format. Take the line out and state the levels in the recipe or show instead.";
    CUBE_DOMAIN = "LW0311", "domain that can't be", "In each channel the domain's minimum lies below its maximum, and the domain is given in one way only.";
    CUBE_BOTH_SIZES = "LW0312", "1D and 3D table in one file", "Both sizes in one file are read only in the dialect that gives an input range with them (LUT_1D_INPUT_RANGE, LUT_3D_INPUT_RANGE).";
    CUBE_ENCODING = "LW0320", "characters outside ASCII", "The format is ASCII. A byte order mark, UTF-8 or Latin-1 in a title or comment is read, but not every device reads it.";
    CUBE_LINE_ENDS = "LW0321", "line ends with a carriage return", "The format ends lines with a line feed alone. Other line ends are read, but not every device reads them.";
    CUBE_SPACING = "LW0322", "unusual spacing", "Tabs, spaces before a line's first value and empty lines inside the table are read, but not every device reads them.";
    CUBE_KEYWORD_CASE = "LW0323", "keyword in lower case", "Keywords are written in capitals. Others are read, but not every device reads them.";
    CUBE_NUMBER_FORM = "LW0324", "unusual form of a number", "Exponents, plus signs and whole numbers in the table are read, but some devices ignore exponents or expect a decimal point.";
    CUBE_TITLE_FORM = "LW0325", "title missing or badly written", "A title stands between double quotes. Without one the file can't be told from others on a device that shows titles.";
    CUBE_COMMENT_PLACE = "LW0326", "comment inside or after the table", "Comments are read anywhere, but some devices count them as rows.";
    CUBE_INPUT_RANGE = "LW0327", "input range instead of a domain", "LUT_1D_INPUT_RANGE and LUT_3D_INPUT_RANGE belong to a dialect; they are read as the domain. Devices that don't know it take 0 to 1.";
    CUBE_LONG_LINE = "LW0328", "line longer than 250 bytes", "The format allows 250 bytes a line. Longer ones are read, but devices may cut them.";
    CUBE_KEYWORD_IGNORED = "LW0329", "keyword without effect on the table", "The line is information about the file only. It is skipped, but devices that don't know the keyword may refuse the file.";

    // LW033x: Common LUT Format files.
    CLF_NOT_XML = "LW0330", "not an XML text", "The file breaks the rules of XML: a tag that is not closed, a byte that no text has, a file that was cut off. Export it again.";
    CLF_DECLARATION = "LW0331", "declarations or tags that no such file has", "A document type declaration, entities, thousands of attributes or deep nesting have no place in a Common LUT Format file and can make a reader run out of memory. Such a file is refused.";
    CLF_NOT_CLF = "LW0332", "not a Common LUT Format file of a known version", "The root is ProcessList with compCLFversion 3.0 or 2.0. Other formats have the same look, and a later version can mean something else by the same words.";
    CLF_UNKNOWN = "LW0333", "unknown element or attribute", "An element, attribute or text that is not known could change the picture, so it is never skipped. Information for people belongs under Info or Description.";
    CLF_MISSING = "LW0334", "missing element or attribute", "The format asks for it, and without it the step has no meaning.";
    CLF_VALUE = "LW0335", "value that can't be", "A value is a finite decimal number with a point, within the range of its parameter, or one of the words that the format knows.";
    CLF_ARRAY = "LW0336", "array that doesn't fit its dimensions", "The attribute dim says how many numbers an array has, and each kind of step takes certain dimensions only.";
    CLF_DEPTHS = "LW0337", "bit depths that don't fit each other", "A step's inBitDepth is the outBitDepth of the step before: else it can't be known how its numbers are scaled.";
    CLF_TWICE = "LW0338", "given twice", "It may stand once. Which of the two was meant can't be known.";
    CLF_FORM = "LW0339", "unusual form", "What is written departs from the format in a way that leaves no doubt about what is meant. It is read, but not every program reads it.";

    // LW034x: ASC CDL files and EDLs.
    CDL_NOT_TEXT = "LW0340", "not a text of corrections", "The file is not UTF-8 text (an EDL: no text at all), or far too large for corrections. Export it again.";
    CDL_XML = "LW0341", "not XML", "An ASC CDL file is XML. This one breaks its rules, was cut off, or brings a document type with it, whose entities are refused.";
    CDL_ROOT = "LW0342", "not an ASC CDL", "The file is XML of another kind, or holds no correction. A `.cc` begins with ColorCorrection, a `.ccc` with ColorCorrectionCollection, a `.cdl` with ColorDecisionList.";
    CDL_NUMBER = "LW0343", "correction with something that is no number", "Slope, offset, power and saturation are finite decimal numbers with a point: no words, no decimal comma, no NaN, no infinity.";
    CDL_RANGE = "LW0344", "value that no CDL has", "Slope and saturation are never negative, and power is above 0.";
    CDL_COUNT = "LW0345", "incomplete or doubled correction", "Slope, offset and power have three values each, saturation one, and each stands once; a decision has one correction.";
    CDL_ID = "LW0346", "one id for two corrections", "Which of the two is meant can't be known where their numbers differ.";
    CDL_FORM = "LW0347", "unusual form of an ASC CDL", "The file departs from the schema in a way that leaves its numbers clear: its namespace, the spelling of a node, an element that is not known, a reference to a correction of another file.";
    EDL_EVENT = "LW0348", "not an event", "A line that begins with a number is an event: number, reel, channels, transition, and four time codes.";
    EDL_COMMENT = "LW0349", "correction of no event or of two minds", "ASC_SOP and ASC_SAT stand after the event that they belong to, once each.";

    // LW04xx: files and folders.
    FILE_UNREADABLE = "LW0401", "file can't be read", "The file does not exist, is a folder, or may not be read.";
    FILE_UNWRITABLE = "LW0402", "file can't be written", "The folder may not be written to, or the disk is full. Nothing was changed: files are written whole or not at all.";
    FILE_EXISTS = "LW0403", "file exists already", "The command makes a new file and never overwrites one. Name another folder, or move the file away.";

    FOLDER_IN_USE = "LW0404", "folder in use", "Another run is writing into the same folder of a show. Two runs at once would mix their files: wait for the other, or name another folder with --out.";
    FILE_HELD = "LW0405", "file that a monitor may hold", "A file of that name is there already and holds another look. A version's files are never replaced, for a monitor may have loaded them: make a version of another name, or move the file away if nothing holds it.";
    FOLDER_OF_OTHER = "LW0406", "folder of another show", "Two shows would share a folder of files and a ledger, and each would take the other's files for its own left-overs.";

    // LW05xx: pictures.
    PICTURE_UNKNOWN = "LW0501", "not a readable picture", "The file is not PNG, JPEG, TIFF or OpenEXR. What counts is what stands in it, not its name: export the frame in one of those formats.";
    PICTURE_DAMAGED = "LW0502", "damaged picture", "The file ends too early or its parts contradict each other. Copy it again from where it came, or export it again.";
    PICTURE_UNSUPPORTED = "LW0503", "unsupported kind of picture", "The format is known, but this kind of it is not read, such as a deep or luminance-only OpenEXR or a 32-bit integer TIFF. Export it as 16-bit TIFF or PNG.";
    PICTURE_TOO_LARGE = "LW0504", "picture too large", "The picture claims more pixels than a frame may have, or more than a file of its length can hold. Nothing was decoded: scale, crop or export it again.";
    PICTURE_UNWRITABLE = "LW0505", "picture can't be written that way", "The extension names no picture format, or the format can't hold the depth, the alpha or the values of the picture. The message names the formats that can.";
    CHART_IMPOSSIBLE = "LW0506", "test frame can't be drawn", "The frame is too small or too large for its fields, or there are no patches to draw. The message says which size is needed.";
    PREVIEW_IMPOSSIBLE = "LW0507", "preview can't be made", "What was asked for does not fit together, or needs to know a camera or display that a bare cube file does not name. The message says what to add.";
    PREVIEW_CLASH = "LW0508", "picture would be overwritten", "The preview would take the name of one of the pictures that it is made from, or of another preview of the same run.";
    STILL_OF_MANY_CAMERAS = "LW0509", "one still, several cameras", "Looks for different cameras were named, and nothing says whose log signal the stills are: each look takes them for its own camera's. At most one of the pictures is right. Say whose they are with --input ENCODING/GAMUT.";

    // LW06xx: shows.
    ID_FORM = "LW0601", "id that makes no file name", "An id is 1 to 32 letters, digits, hyphens and underscores without accents: it becomes part of file and folder names.";
    ID_TWICE = "LW0602", "id given twice", "Every camera, monitor, look, variant, setup and version has an id of its own. Ids are compared without case, for on many devices two files that differ only by case are one.";
    ID_UNKNOWN = "LW0603", "unknown id", "The show has no camera, monitor, look, variant, setup or version of that id.";
    SHOW_INCOMPLETE = "LW0604", "nothing to make", "A show needs at least one camera, one monitor and one look; otherwise there is no LUT to make.";
    NAME_IMPOSSIBLE = "LW0605", "no name satisfies the rules", "The device's rules leave too few different names for the files that it needs, or the one name that it knows breaks them.";
    SIZE_MOVED = "LW0606", "size moved to an allowed one", "The device does not accept the size that was asked for; the nearest of its own is taken, the larger of two that are equally near.";
    SLOTS_FEW = "LW0607", "more LUTs than slots", "The device holds fewer LUTs than the show has for it. The loading card says which find no place.";
    TRIM_FILE = "LW0608", "not a trim file", "A trim file is a TOML file with `lookwright = 1` and a `[trim]` table: stops, matrix and root. Anything else in it would be left aside in silence.";
    NOT_THE_SHOWS = "LW0609", "key that the show decides", "Cameras, displays and devices are declared by the show; a version changes the look only. Change the show, or another key.";
    VERSION_ARGUMENTS = "LW0610", "incomplete version", "A new version needs `--setup` (which setup), `--as` (its id), and `--set` (what changes) or `--from` (which earlier version comes back).";
    VERSION_SAME = "LW0611", "version that changes nothing", "What is set is what holds already; a second version of the same look would only confuse.";
    VERSION_DRIFTED = "LW0612", "version no longer what it was", "The recipe under a version was changed after the version was made, so that its name would stand for another picture than the monitors may hold. Its files are left as they are: make a new version, or put the recipe back.";
    SHOW_CHANGED = "LW0613", "show changed meanwhile", "The show's file was saved by somebody else while the version was made. Nothing was written into it: run the command again.";
    FILTER_UNKNOWN = "LW0614", "unknown filter", "The filter is neither one of the trade's names (full, 3/4, 1/2, 1/4, 1/8 of CTO, CTB, plus green and minus green) nor defined in the show by `[[filter]]`.";
    STOP_FORM = "LW0615", "not a T-stop", "A stop is written as T and a number, such as \"T2.8\".";
    NOTHING_AMONG = "LW0616", "nothing to look among", "A loose file is held against the looks of a show or of recipes, and none were named.";
    VARIANT_SAME = "LW0617", "variant that changes nothing", "A variant without `exposure_stops`, `strength` or `monochrome` is the look itself under a second name.";
    RECIPE_TRIM = "LW0618", "trim of a recipe in a show", "A trim corrects one camera. Written in a recipe, it is laid on every camera of the show, after the camera's own; it belongs into a trim file that [[camera]] names.";
    LIGHT_IMPOSSIBLE = "LW0619", "impossible light", "No light is like that: daylight below 4000 K, a Duv on a black body, or a colour outside the spectral locus.";
    FILTER_LOSS = "LW0620", "loss of a filter unknown", "A filter without `stops` takes an unknown amount of light. About what filters of the same strength take is used, and marked as estimated.";
    CAST_FORM = "LW0621", "not a cast", "A cast is said in mired, CC or Duv with a direction, such as \"40 mired warmer, 5 cc greener\", or \"neutral\".";
    LIGHT_UNKNOWN = "LW0622", "unknown light", "The setup has no light of that role, or there is no light that the filter could hang before.";
    DIFFUSION_TWICE = "LW0623", "diffusion on the lens and in the recipe", "A filter on the lens does to the picture what the recipe's `[diffusion]` would do to it again. Take one of the two away, or be sure that both are wanted.";
    LIGHT_ARGUMENTS = "LW0624", "incomplete light", "What is to be computed needs another argument: a light its source and colour temperature, a cast its balance.";
    NOT_A_SHOW = "LW0625", "not a show", "The command is for a show: a text with a table [show] that names cameras, monitors, looks and setups. A recipe is one look of it; cubes and packages are what is made of it.";

    // LW07xx: light.
    LIGHT_NUMBER = "LW0701", "not a number", "A figure of light or of the camera is a decimal number with a point and without its unit; a shutter time may also be a fraction, such as 1/50.";
    LIGHT_RANGE = "LW0702", "figure out of range", "The figure is zero, negative, not finite, or far from anything on a set: most often a slip of the decimal point or of the unit.";
    LIGHT_TWICE = "LW0703", "one thing said twice", "The light is given once, as lux, as foot-candles or as a lamp with its distance, and so is the shutter, as an angle with a rate or as a time.";
    LIGHT_MISSING = "LW0704", "nothing to compute from", "An exposure needs the exposure index, the shutter, and a light or a T-stop.";
    STOP_IMPOSSIBLE = "LW0705", "T-stop that no lens has", "A lens in air can't be faster than f/0.5, and T is never below f; no lens is marked beyond T128.";

    // LW08xx: packages.
    PACKAGE_UNKNOWN = "LW0801", "not a package", "A package is a zip archive or a folder. What counts is what stands in the file, not its name.";
    PACKAGE_DAMAGED = "LW0802", "damaged package", "The archive ends too early, its parts contradict each other, or a file in it is not what its checksum (CRC-32) says. Copy it again from where it came.";
    PACKAGE_PATH = "LW0803", "path that a package can't have", "A path in a package is relative, divided by /, and means the same file on every system: no `..`, no drive letter, no backslash, no name of a device, no full stop or space at the end of a name. Others could lead outside the folder that the package is opened in.";
    PACKAGE_CLASH = "LW0804", "two names for one file", "Two entries have the same path, or paths that some system takes for the same: they differ only in case or in how accents are encoded, or one names a file where the other needs a folder.";
    PACKAGE_LINK = "LW0805", "link or device in a package", "A package holds ordinary files and folders. Links could lead anywhere, and are neither packed nor followed.";
    PACKAGE_TOO_LARGE = "LW0806", "package too large", "The package has more entries, or larger ones, than a hand-off of looks can have, or claims to unpack to far more than its bytes can hold. Nothing was unpacked.";
    PACKAGE_UNSUPPORTED = "LW0807", "unsupported kind of archive", "The archive is encrypted, split, made for files above 4 GiB (zip64), or compressed in another way than deflate. Unpack it with the program that made it, and name the folder.";
    PACKAGE_HIDDEN = "LW0808", "archive that reads two ways", "Its table of contents and its entries tell different things, entries overlap, or there are bytes that belong to none of them, so that two programs would unpack different files. Ask for the package again, or unpack it yourself and name the folder.";
    PACKAGE_ENTRY = "LW0809", "no such file in the package", "The package has no file of that path. Paths are compared letter by letter.";
    CHECKSUMS_FORM = "LW0810", "not a list of checksums", "A line of SHA256SUMS is 64 hexadecimal digits, two spaces and the path of a file in the package.";
    CHECKSUM_WRONG = "LW0811", "file not as it was packed", "The bytes of the file are not those that SHA256SUMS was made from: it was changed or damaged after the package was made.";
    CHECKSUM_FILES = "LW0812", "files differ from the list of checksums", "SHA256SUMS names a file that the package lacks, or the package holds a file that SHA256SUMS does not name: something was taken away or added after the package was made.";
    MEDIA_HASHES = "LW0813", "media hash list can't be made", "The list needs a name that can stand in a file name, and the time at which it was made, such as 2026-11-30T08:00:00Z.";

    // LW082x: what goes into a package.
    PACKAGE_SOURCE = "LW0820", "file that a package can't carry", "A package holds the show's texts in their own folders, so that the paths in them still hold on another machine. Absolute paths lead nowhere there.";
    PACKAGE_NOTHING = "LW0821", "nothing to hand over", "The setups that were named have no look that can be made: its recipe was changed since, or belongs to no camera or monitor.";
    LIST_OF_NO_SETUP = "LW0822", "edit decision list of no setup", "An event belongs to the setup whose `clips` name its clip or reel, or how that begins. None of the list's events does.";
    PACKAGE_DATE = "LW0823", "not a date", "A package carries a date: YYYY-MM-DD, with or without a time and a zone.";
    PACKAGE_FOREIGN = "LW0824", "not a hand-off package", "The package has no package.json of this program, or one of another form, so that there is nothing that it could be held against.";
    PACKAGE_OTHER_SHOW = "LW0825", "packages of two shows", "Two packages are compared look by look, by the ids of one show. Looks of two shows are compared as recipes or files.";
    LIST_CORRECTED = "LW0826", "event with a correction already", "The event of the edit decision list came with a correction. In the package that of its setup's [grade] stands in its place; where the look has none, the event keeps what it has. The list that was named is never changed.";
    LIST_OF_TWO_SETUPS = "LW0827", "event of two setups", "The `clips` of two setups fit the event's clip or reel equally well, and their looks put different numbers there. The event gets neither: name more of the clip in one of the two.";
    PACKAGE_BESIDE = "LW0828", "package beside something else", "A package holds many looks and is compared with another package. A single file is compared with a recipe or with one file of the package, unpacked.";
    PACKAGE_PLACE = "LW0829", "place that a package can't have", "A package is a zip archive, where its name ends with .zip, or else a folder. The folder that it lies in exists and can be written to, and no folder of LUT files lies in it.";

    // LW083x: files of others, looked at.
    CORRECTION_CHOICE = "LW0830", "which correction of the file is meant", "The file holds several corrections, or none of that id. `--id` names one by its id; of an edit decision list by the number of its event, by its clip, or by the id behind ASC_CC_XML.";
    CORRECTION_NO_PICTURE = "LW0831", "correction without a picture", "An ASC CDL is no picture: it stands in ACEScct in the place of a recipe's [grade], and is seen through the plain conversion of a recipe. `--recipe` names one.";
    STEPS_NO_PICTURE = "LW0832", "list of steps that gives no picture", "What comes out of the list is light or a log signal, as its OutputDescriptor or its last step says, and no display shows that as it is. `--display` says otherwise.";
    STEPS_TAKE_LIGHT = "LW0833", "list of steps that takes light", "The list takes linear light, as its InputDescriptor or its first step says: a camera's log signal must be brought to light first, and for that the camera must be known.";
}

#[cfg(test)]
mod tests {
    use super::ALL;

    #[test]
    fn codes_are_unique_ordered_and_well_formed() {
        for pair in ALL.windows(2) {
            assert!(pair[0].id < pair[1].id, "{} stands before {}", pair[0].id, pair[1].id);
        }
        for code in ALL {
            assert!(code.id.len() == 6 && code.id.starts_with("LW"), "{}", code.id);
            assert!(!code.title.is_empty() && code.explanation.ends_with('.'), "{}", code.id);
        }
    }
}
