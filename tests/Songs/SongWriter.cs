using System.Text;
using RenderGraph.Songs.Playing;
using RenderGraph.Songs.Situations;

namespace RenderGraph.Songs;

/// <summary>
/// Writes folders of stems of short songs. A song depends on its situation, the seed, its number and its length alone: the same ten songs are the first ten of two hundred, byte for byte, on any machine.
/// </summary>
/// <param name="seconds">How long each is.</param>
/// <param name="isOdd">Whether folders and files have names that are hard on programs.</param>
internal sealed class SongWriter(Situation situation, long seed, double seconds, int sampleRateHz, bool isOdd)
{
    private const double SumPeak = 0.89; // -1 dBFS

    /// <summary>Plays a song.</summary>
    public Song Play(int number)
    {
        var dice = Dice(number);
        var title = Titles.Of(dice);
        var stage = new Stage(sampleRateHz, (int)Math.Round(seconds * sampleRateHz));
        var (tempoBpm, parts) = situation switch
        {
            Situation.KickLedElectronic => KickLedElectronic.Compose(stage, dice),
            Situation.LiveBand => LiveBand.Compose(stage, dice),
            Situation.BassLedWithoutKick => BassLedWithoutKick.Compose(stage, dice),
            Situation.PracticeRoomWithBleed => PracticeRoomWithBleed.Compose(stage, dice),
            _ => SpokenWordWithMusicBed.Compose(stage, dice),
        };
        Balance(parts);
        return new(number, title, tempoBpm, sampleRateHz, parts);
    }

    /// <summary>Plays a song and writes its stems into a new folder below <paramref name="folder"/>.</summary>
    /// <param name="breakage">What is wrong with it, or null.</param>
    /// <returns>The song's folder.</returns>
    public string Write(string folder, int number, Breakage? breakage = null)
    {
        var song = Play(number);
        var names = StemNames.Of(song.Parts, song.Title, Dice(-number));
        if (isOdd)
            names = StemNames.Odd(names, Dice(-number));
        var own = Path.Combine(folder, isOdd ? Titles.OddFolder(number, song.Title) : Titles.Folder(number, song.Title));
        Directory.CreateDirectory(own);

        var anchor = 0;
        while (!song.Parts[anchor].IsAnchor)
            anchor++;
        var victim = breakage is Breakage.MissingAnchor or Breakage.SilentAnchor or Breakage.TwoAnchors or Breakage.NotANumber ? anchor : song.Parts.Count - 1;
        for (var index = 0; index < song.Parts.Count; index++)
        {
            if (breakage is Breakage.NoStems || (breakage is Breakage.MissingAnchor && index == anchor))
                continue;
            var sound = song.Parts[index].Sound;
            File.WriteAllBytes(Path.Combine(own, names[index]), index == victim && breakage is { } fault ? Broken(fault, song, index) : PcmFile.Bytes(sound, song.SampleRateHz));
        }

        if (breakage is Breakage.TwoAnchors)
            File.WriteAllBytes(Path.Combine(own, Second(names[anchor])), PcmFile.Bytes(song.Parts[anchor].Sound, song.SampleRateHz));
        if (breakage is Breakage.MisspelledSettings)
            File.WriteAllText(Path.Combine(own, "song.json"), "{ \"tempoBmp\": 120 }\n");
        return own;
    }

    // Stems come from a mix: they add up to one that does not clip.
    private static void Balance(IReadOnlyList<Part> parts)
    {
        var peak = 0.0;
        for (var channel = 0; channel < 2; channel++)
        {
            for (var frame = 0; frame < parts[0].Sound.Frames; frame++)
                peak = Math.Max(peak, Math.Abs(parts.Sum(part => part.Sound[Math.Min(channel, part.Sound.Channels - 1)][frame])));
        }

        foreach (var part in parts)
        {
            for (var channel = 0; channel < part.Sound.Channels; channel++)
            {
                foreach (ref var sample in part.Sound[channel])
                    sample *= SumPeak / peak;
            }
        }
    }

    private static byte[] Broken(Breakage breakage, Song song, int index)
    {
        var sound = song.Parts[index].Sound;
        var bytes = PcmFile.Bytes(sound, song.SampleRateHz);
        return breakage switch
        {
            Breakage.Unreadable => Encoding.UTF8.GetBytes("This was meant to be a stem.\n"),
            Breakage.CutInHeader => bytes[..30],
            Breakage.CutInSound => bytes[..(bytes.Length * 6 / 10 / 4 * 4)],
            Breakage.Empty => [],
            Breakage.MixedRates => PcmFile.Bytes(sound, song.SampleRateHz == 44_100 ? 48_000 : 44_100),
            Breakage.NotANumber => PcmFile.BytesWithoutANumber(sound, song.SampleRateHz),
            Breakage.SilentAnchor => PcmFile.Bytes(Graph.Contracts.Signal.Allocate(1, sound.Frames), song.SampleRateHz),
            _ => bytes,
        };
    }

    private static string Second(string name) => Path.GetFileNameWithoutExtension(name) + " other" + Path.GetExtension(name);

    private Dice Dice(int number) => new(seed, ((long)situation << 32) + number);
}
