using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.LowEnd;

namespace RenderGraph.Nodes.Measures.Parts;

/// <summary>
/// What a stem is: its content is asked first, its name second. The rules are our own; no source. A part is low if most of its power from 20 to 300 Hz lies below 120 Hz, and counts only within 30 dB of the
/// loudest low end. A low part that fills little of each second and keeps to one note is a kick; one that fills more, or changes notes, a bass.
/// </summary>
/// <param name="Kind">The guess.</param>
/// <param name="Confidence">0 to 1, on a step of 0.01.</param>
/// <param name="Kickness">How much it is a kick, 0 to 1: for choosing among several.</param>
/// <param name="Bassness">How much it is a bass.</param>
public sealed record PartGuess(PartKind Kind, double Confidence, double Kickness, double Bassness)
{
    /// <summary>A part so far under the loudest low end plays no role in it.</summary>
    internal const double PresentDb = 30;

    private const double LowestCornerHz = 120;
    private const double NameWeight = 3; // a name triples the odds

    private static readonly string[] KickWords = ["kick", "kik", "kck", "bd", "bassdrum"];
    private static readonly string[] BassWords = ["bass", "sub", "subbass", "bs", "deep"];
    private static readonly string[] OtherWords =
    [
        "snare", "sn", "sd", "hat", "hats", "hh", "tom", "toms", "cymbal", "ride", "crash", "clap", "perc", "overhead", "overheads", "oh", "room", "shaker",
        "voice", "vox", "vocal", "vocals", "choir", "keys", "piano", "organ", "guitar", "gtr", "pad", "lead", "strings", "brass", "noise", "fx",
    ];

    /// <summary>Guesses.</summary>
    /// <param name="loudestDbfs">The loudest low end of any stem.</param>
    public static PartGuess Of(MeasuredStem stem, double? loudestDbfs)
    {
        ArgumentNullException.ThrowIfNull(stem);
        if (stem.Facts.IsSilent)
            return new(PartKind.Silent, 1, 0, 0);
        if (stem.LowEnd.LevelDbfs is not { } level || level < loudestDbfs - PresentDb)
            return new(PartKind.Other, 0.9, 0, 0);

        var lowness = Lowness(stem.LowEnd);
        var lowShare = Math.Min(1, Decibels.ToAmplitude(2 * level) / Math.Max(stem.Facts.MeanPower, 1e-30));
        var fills = Ramp(stem.LowEnd.FilledFraction ?? 0, 0.2, 0.45);
        var changes = Changes(stem.LowEnd);
        var held = Math.Max(fills, changes);

        // A low part by content: more low than not, in its low end and on the whole.
        var isLow = Ramp(lowness, 0.1, 0.6) * Ramp(lowShare, 0.05, 0.4);
        double kick = isLow * (1 - held), bass = isLow * held, other = 1 - isLow;
        var words = Words(stem.Name);
        kick = Weigh(kick, words, KickWords);
        bass = Weigh(bass, words, words.Contains("drum") ? [] : BassWords);
        other = Weigh(other, words, OtherWords);
        var sum = kick + bass + other;
        (kick, bass, other) = (kick / sum, bass / sum, other / sum);

        var kind = kick >= bass && kick >= other ? PartKind.Kick : bass >= other ? PartKind.Bass : PartKind.Other;
        return new(kind, Math.Round(100 * Math.Max(kick, Math.Max(bass, other))) / 100, kick, bass);
    }

    /// <summary>Share of a low end's power that lies below 120 Hz.</summary>
    private static double Lowness(StemLowEnd lowEnd)
    {
        var powers = lowEnd.RangesDbfs.Select(level => level is { } db ? Decibels.ToAmplitude(2 * db) : 0).ToArray();
        return powers.Sum() is > 0 and var sum ? (powers[0] + powers[1] + powers[2]) / sum : 0;
    }

    // 1 if no note has more than four fifths of the time, 0 if one has nearly all.
    private static double Changes(StemLowEnd lowEnd)
    {
        var low = lowEnd.Notes.Where(note => note.FrequencyHz < 2 * LowestCornerHz).ToList();
        var seconds = low.Sum(note => note.Seconds);
        return seconds < 1 ? 0 : Ramp(1 - (low.Max(note => note.Seconds) / seconds), 0.05, 0.2);
    }

    private static double Ramp(double value, double from, double to) => Math.Clamp((value - from) / (to - from), 0, 1);

    private static double Weigh(double share, List<string> words, string[] known) => (share + 0.02) * (words.Exists(word => known.Contains(word)) ? NameWeight : 1);

    private static List<string> Words(string name)
    {
        // "BassDI_02" is bass, di: a capital after a small letter begins a word, digits are none.
        var words = new List<string> { "" };
        for (var index = 0; index < name.Length; index++)
        {
            if (!char.IsAsciiLetter(name[index]) || (char.IsAsciiLetterUpper(name[index]) && index > 0 && char.IsAsciiLetterLower(name[index - 1])))
                words.Add("");
            if (char.IsAsciiLetter(name[index]))
                words[^1] += char.ToLowerInvariant(name[index]);
        }

        return words.FindAll(word => word.Length > 0);
    }
}
