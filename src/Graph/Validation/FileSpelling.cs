using System.Globalization;
using System.Text;

namespace RenderGraph.Graph.Validation;

/// <summary>
/// Tells spellings apart that some system takes for one file: letter case does not count, nor does it whether an accented letter is one
/// character or a letter and a mark. Without tables of all letters (this program carries none) the second is told from the outline alone: of two
/// names that differ in such letters only, one with marks and one without, the accents are not compared.
/// </summary>
/// <param name="Path">A name or a whole path.</param>
public sealed record FileSpelling(string Path)
{
    /// <summary>Equal for all spellings that could be one file, and for few others.</summary>
    public string Outline { get; } = OutlineOf(Path);

    /// <summary>Whether some system takes both for one file.</summary>
    public bool IsSameFileAs(FileSpelling other) =>
        Path.Equals(other.Path, StringComparison.OrdinalIgnoreCase)
        || (Outline == other.Outline && Path.EnumerateRunes().Any(IsMark) != other.Path.EnumerateRunes().Any(IsMark));

    /// <summary>Every letter with marks, and every one that might be written so, becomes one and the same sign.</summary>
    private static string OutlineOf(string path)
    {
        const char Sign = '\uFFFD';
        var outline = new StringBuilder(path.Length);
        foreach (var rune in path.ToUpperInvariant().EnumerateRunes())
        {
            if (!rune.IsAscii && !IsMark(rune))
                outline.Append(Sign);
            else if (!IsMark(rune))
                outline.Append(rune);
            else if (outline.Length > 0)
                outline[^1] = Sign;
        }

        return outline.ToString();
    }

    private static bool IsMark(Rune rune) => Rune.GetUnicodeCategory(rune) is UnicodeCategory.NonSpacingMark or UnicodeCategory.SpacingCombiningMark;
}
