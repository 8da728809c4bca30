using System.Globalization;

namespace RenderGraph.Songs;

/// <summary>Invented titles, and the folders that songs lie in.</summary>
internal static class Titles
{
    private static readonly string[] First =
    [
        "Amber", "Borrowed", "Copper", "Distant", "Eastern", "Folded", "Gentle", "Hollow", "Idle", "Juniper", "Kindled", "Lantern", "Marble", "Northern", "Orchard", "Paper",
        "Quiet", "Rusted", "Salted", "Tidal", "Umber", "Velvet", "Winter", "Yonder", "Zinc",
    ];

    private static readonly string[] Second =
    [
        "Arches", "Bridges", "Cranes", "Dunes", "Embers", "Ferries", "Gables", "Harbours", "Islands", "Jetties", "Kites", "Ladders", "Meadows", "Nettles", "Oars", "Pylons",
        "Quarries", "Rivers", "Sheds", "Terraces", "Vines", "Weirs", "Yards",
    ];

    private static readonly string[] OddEndings =
    [
        " [rough]", " (v2) {b}", " – été", " 雪", " & 50%", " #3; 'x'", "  two  spaces", " 🎚", " ñandú=1", ",comma", " e\u0301te\u0301", " $HOME `x`", "!",
    ];

    public static string Of(Dice dice) => $"{dice.Of(First)} {dice.Of(Second)}";

    /// <summary>A song's own folder below the one for all: "007 Quiet Harbours".</summary>
    public static string Folder(int number, string title) => string.Create(CultureInfo.InvariantCulture, $"{number:000} {title}");

    /// <summary>
    /// Folders that are hard on programs: every eighth begins with dashes, is so long that whole paths pass 200 characters, or differs from the one before in nothing but letter case;
    /// the others have brackets, other scripts, spaces and signs that shells know.
    /// </summary>
    public static string OddFolder(int number, string title) => (number % 8) switch
    {
        1 => string.Create(CultureInfo.InvariantCulture, $"--{number:000} {title}"),
        2 => string.Create(CultureInfo.InvariantCulture, $"{number:000} {title} {string.Concat(Enumerable.Repeat("and on and on ", 14))}again"),
        3 => string.Create(CultureInfo.InvariantCulture, $"{number:000} SAME LETTERS"),
        4 => string.Create(CultureInfo.InvariantCulture, $"{number - 1:000} same letters"),
        _ => Folder(number, title) + OddEndings[number % OddEndings.Length],
    };
}
