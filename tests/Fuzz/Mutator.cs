using System.Buffers.Binary;
using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;

namespace RenderGraph.Fuzz;

/// <summary>Makes a slightly wrong file of a right one, as transport, bad programs and malice do.</summary>
internal static class Mutator
{
    private static readonly Regex ANumber = new("-?[0-9]+(\\.[0-9]+)?", RegexOptions.CultureInvariant), AText = new("\"[^\"]*\"", RegexOptions.CultureInvariant);

    private const int MostBytes = 64 * 1024;

    // Where a change does most: sizes and counts, and the values at which a sum or a product goes over.
    private static readonly ulong[] Numbers =
        [0, 1, 2, 3, 7, 8, 16, 24, 32, 33, 64, 0x7F, 0x80, 0xFF, 0x100, 0x7FFF, 0x8000, 0xFFFF, 0x10000, 44100, 48000, 384001, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF, 0xFFFFFFFE, 1UL << 40, (1UL << 63) - 1, 1UL << 63, ulong.MaxValue];

    private static readonly string[] AudioWords =
        ["RIFF", "RIFX", "RF64", "BW64", "WAVE", "fmt ", "data", "ds64", "fact", "bext", "LIST", "FORM", "AIFF", "AIFC", "COMM", "SSND", "fLaC", "OggS", "ID3\x04", "sowt", "fl32", "riff", "vorbis"];

    private static readonly string[] GraphWords =
    [
        "{", "}", "[", "]", ":", ",", "\"", "//", "/*", "*/", "\\", "\\u0000", "\\ud800", "null", "true", "false", "-0", "1e999", "-1e-999", "0x10", "1.5", "1,5", "NaN", "\"anchor\"", "\"measure\"", "\"in\":",
        "\"key\":", "\"type\":", "\"steps\":", "\"keyedCut\"", "\"duck\"", "\"saturate\"", "\"chain\"", "\"mix\"", "\"delay\"", "\"bypass\": true", "\"muted\": true", "\"resample\": true", "\"sampleRateHz\": 44100",
        "\"channels\": [1, 2]", "\"alignBy\": \"timeReference\"", "\"startMs\":", "\"tailMs\":", "\"file\":", "../", "\"match\":", "\"many\": true", "\"optional\": true", "\"leaveOut\":", "\"*\"", "\"!*\"", "*", "?", "[a-", "[!", "]", "\u0301", "\u00e9", "\ufeff", "\t", "\r", "\n",
    ];

    /// <summary>A mutant, and whether all that was done to it was to cut off its end.</summary>
    public static (byte[] Bytes, bool IsOnlyCut) Mutate(IReadOnlyList<byte[]> corpus, int index, bool isText, Dice dice)
    {
        var bytes = corpus[index];
        if (dice.OneIn(16))
            return (bytes[..dice.Below(bytes.Length)], true);
        if (isText && dice.OneIn(2))
            return (Reword(bytes, dice), false);
        var list = new List<byte>(bytes);
        for (var left = 1 + dice.Below(dice.OneIn(3) ? 12 : 3); left > 0; left--)
            Change(list, corpus, isText, dice);
        return (list.Count > MostBytes ? [.. list[..MostBytes]] : [.. list], false);
    }

    /// <summary>Still JSON, and often still a graph: numbers and texts changed for others, which get further than broken brackets.</summary>
    private static byte[] Reword(byte[] bytes, Dice dice)
    {
        var text = Encoding.UTF8.GetString(bytes);
        for (var left = 1 + dice.Below(3); left > 0; left--)
        {
            var isNumber = dice.OneIn(2);
            var found = (isNumber ? ANumber : AText).Matches(text);
            if (found.Count == 0)
                continue;
            var place = found[dice.Below(found.Count)];
            var with = isNumber ? PlainNumber(dice) : dice.OneIn(4) ? dice.Of(GraphWords) : found[dice.Below(found.Count)].Value;
            text = string.Concat(text.AsSpan(0, place.Index), with, text.AsSpan(place.Index + place.Length));
        }

        return Encoding.UTF8.GetBytes(text);
    }

    private static string PlainNumber(Dice dice) => dice.Below(4) switch
    {
        0 => (dice.Below(2001) / 10.0).ToString(CultureInfo.InvariantCulture),
        1 => (dice.Below(81) - 40).ToString(CultureInfo.InvariantCulture),
        2 => BitConverter.UInt64BitsToDouble(dice.Next()).ToString("R", CultureInfo.InvariantCulture),
        _ => dice.Of(Numbers).ToString(CultureInfo.InvariantCulture),
    };

    private static void Change(List<byte> bytes, IReadOnlyList<byte[]> corpus, bool isText, Dice dice)
    {
        var at = Place(bytes.Count, dice);
        switch (dice.Below(isText ? 12 : 10))
        {
            case 0 when bytes.Count > 0:
                bytes[at] ^= (byte)(1 << dice.Below(8));
                break;
            case 1 when bytes.Count > 0:
                bytes[at] = (byte)dice.Next();
                break;
            case 2 or 3:
                Overwrite(bytes, at, Number(dice));
                break;
            case 4:
                bytes.InsertRange(at, dice.OneIn(2) ? Number(dice) : [.. Enumerable.Range(0, 1 + dice.Below(40)).Select(_ => (byte)dice.Next())]);
                break;
            case 5:
                bytes.RemoveRange(at, Math.Min(bytes.Count - at, 1 + dice.Below(dice.OneIn(4) ? 4000 : 12)));
                break;
            case 6:
                bytes.InsertRange(Place(bytes.Count, dice), bytes[at..Math.Min(bytes.Count, at + 1 + dice.Below(200))]);
                break;
            case 7:
                var other = dice.Of(corpus);
                var from = Place(other.Length, dice);
                bytes.InsertRange(at, other[from..Math.Min(other.Length, from + 1 + dice.Below(dice.OneIn(4) ? 3000 : 60))]);
                break;
            case 8:
                Overwrite(bytes, at, Encoding.Latin1.GetBytes(dice.Of(isText ? GraphWords : AudioWords)));
                break;
            case 9:
                bytes.RemoveRange(at, bytes.Count - at);
                break;
            default:
                bytes.InsertRange(at, Encoding.UTF8.GetBytes(dice.Of(GraphWords)));
                break;
        }
    }

    /// <summary>Half of all changes go into the first bytes, where headers are.</summary>
    private static int Place(int count, Dice dice) => dice.OneIn(2) ? dice.Below(Math.Min(count, 160)) : dice.Below(count);

    private static byte[] Number(Dice dice)
    {
        var bytes = new byte[8];
        var value = dice.OneIn(4) ? dice.Next() : dice.Of(Numbers);
        if (dice.OneIn(2))
        {
            BinaryPrimitives.WriteUInt64LittleEndian(bytes, value);
            return bytes[..(1 << dice.Below(4))];
        }

        BinaryPrimitives.WriteUInt64BigEndian(bytes, value);
        return bytes[^(1 << dice.Below(4))..];
    }

    private static void Overwrite(List<byte> bytes, int at, byte[] with)
    {
        for (var index = 0; index < with.Length && at + index < bytes.Count; index++)
            bytes[at + index] = with[index];
    }
}
