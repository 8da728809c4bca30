using System.Globalization;
using System.Text;

namespace RenderGraph.Graph.Binding;

/// <summary>
/// Names as people read them: a letter with its marks is one character, however it is composed and in either case. One system stores "é" as one code point, another as two, and an
/// exported session may travel between them. Everything is by code point and the same everywhere; <c>string.Normalize</c> changes nothing under <c>InvariantGlobalization</c>.
/// </summary>
internal static partial class WrittenCharacter
{
    private const int HangulFirst = 0xAC00, HangulLast = 0xD7A3, LeadFirst = 0x1100, VowelFirst = 0x1161, TailBefore = 0x11A7, TailCount = 28, VowelTailCount = 588;

    private static readonly Lazy<Dictionary<int, int[]>> Table = new(() => Decompositions
        .Split(';', StringSplitOptions.RemoveEmptyEntries)
        .Select(row => row.Split(' ').Select(code => int.Parse(code, NumberStyles.HexNumber, CultureInfo.InvariantCulture)).ToArray())
        .ToDictionary(codes => codes[0], codes => codes[1..]));

    /// <summary>The characters of a text: each a base in upper case with its marks, in a fixed order.</summary>
    public static IReadOnlyList<string> Split(string text)
    {
        var characters = new List<string>(text.Length);
        var (open, marks) = (new StringBuilder(), new List<string>());
        foreach (var rune in text.EnumerateRunes())
        {
            foreach (var part in Decomposed(rune.Value))
            {
                var written = Rune.ToUpperInvariant(new(part)).ToString();
                if (open.Length > 0 && IsMark(part))
                {
                    marks.Add(written);
                    continue;
                }

                Close();
                open.Append(written);
            }
        }

        Close();
        return characters;

        void Close()
        {
            if (open.Length > 0)
                characters.Add(open.AppendJoin("", marks.Order(StringComparer.Ordinal)).ToString());
            open.Clear();
            marks.Clear();
        }
    }

    private static IEnumerable<int> Decomposed(int code)
    {
        if (code < 0x80)
            return [code];
        if (code is >= HangulFirst and <= HangulLast)
        {
            // The Unicode Standard, section 3.12: a syllable is two or three letters.
            var index = code - HangulFirst;
            int[] letters = [LeadFirst + (index / VowelTailCount), VowelFirst + (index % VowelTailCount / TailCount), TailBefore + (index % TailCount)];
            return letters[2] == TailBefore ? letters[..2] : letters;
        }

        return Table.Value.TryGetValue(code, out var parts) ? parts.SelectMany(Decomposed) : [code];
    }

    private static bool IsMark(int code) => Rune.GetUnicodeCategory(new(code)) is UnicodeCategory.NonSpacingMark or UnicodeCategory.SpacingCombiningMark or UnicodeCategory.EnclosingMark;
}
