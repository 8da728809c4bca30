using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles;

namespace RenderGraph.Fuzz;

/// <summary>All readers of audio files, by their common door; each file is read to its end, twice.</summary>
internal sealed class AudioTarget : ITarget
{
    private const int BlockFrames = 1024;

    // As many frames as a byte of the smallest kind of file can hold: a FLAC file of silence. More would be memory and time that no file stands for.
    private const long MostFramesAByte = 65535;

    private static readonly IReadOnlyList<int>?[] Picks = [null, null, null, [1], [2], [1, 2], [3, 4], [40]];

    private readonly DiskAudioFiles _files = new();
    private readonly Dictionary<int, List<double>?> _originals = [];

    public AudioTarget(string folder)
    {
        var paths = Directory.GetFiles(folder).Order(StringComparer.Ordinal).ToList();
        Corpus = paths.ConvertAll(File.ReadAllBytes);
        Names = paths.ConvertAll(path => Path.GetFileName(path));
        for (var index = 0; index < paths.Count; index++)
            _originals.Add(index, Original(paths[index]));
    }

    public string Name => "audio";

    public bool IsText => false;

    public IReadOnlyList<byte[]> Corpus { get; }

    public IReadOnlyList<string> Names { get; }

    public Outcome Run(string folder, byte[] mutant, int index, bool isOnlyCut, Dice dice)
    {
        var path = Path.Combine(folder, "mutant.wav"); // the name means nothing
        File.WriteAllBytes(path, mutant);
        var picked = dice.Of(Picks);
        var (warnings, errors) = (0, 0);
        using var stem = _files.OpenStem(new(path, dice.OneIn(2) ? 0 : -6, picked), (code, severity, sentence, remedy) =>
        {
            Words.Check(sentence, remedy);
            if (severity == Severity.Error) errors++;
            else warnings++;
        });
        if (stem is null)
            return errors == 1 ? Outcome.Refused : throw new BadOutcomeException($"refused with {errors} errors");
        if (errors > 0)
            throw new BadOutcomeException("opened in spite of an error");

        var format = stem.Format;
        if (format.SampleRateHz is < 8000 or > 384_000 || format.Channels is < 1 or > 2 || format.LengthFrames < 1)
            throw new BadOutcomeException($"opened as {format}");
        if (format.LengthFrames > mutant.Length * MostFramesAByte)
            throw new BadOutcomeException($"{mutant.Length} bytes are said to be {format.LengthFrames} frames");

        List<double> samples;
        try
        {
            samples = ReadAll(stem);
        }
        catch (StemException failure)
        {
            Words.Check(failure.Sentence, failure.Remedy);
            return Outcome.Told;
        }

        ReadAgain(stem, samples, dice);
        if (isOnlyCut && warnings == 0 && picked is null && _originals[index] is { } original && samples.Count < original.Count)
            throw new BadOutcomeException($"cut to {mutant.Length} bytes, it lost {original.Count - samples.Count} samples without a word");
        return warnings > 0 ? Outcome.Told : Outcome.Taken;
    }

    private static List<double> ReadAll(IStemReader stem)
    {
        var block = Signal.Allocate(stem.Format.Channels, BlockFrames);
        var samples = new List<double>();
        for (var start = 0L; start < stem.Format.LengthFrames; start += BlockFrames)
        {
            stem.Read(start, block);
            for (var channel = 0; channel < block.Channels; channel++)
            {
                foreach (var sample in block[channel])
                {
                    if (!double.IsFinite(sample))
                        throw new BadOutcomeException($"gave {sample} after frame {start}");
                }
            }

            // Of a very long one the beginning is kept; all of it has been decoded.
            if (samples.Count < 1 << 20)
                samples.AddRange(block[0][..(int)Math.Min(BlockFrames, stem.Format.LengthFrames - start)]);
        }

        return samples;
    }

    /// <summary>From some place in the middle, in another block length: the same bits.</summary>
    private static void ReadAgain(IStemReader stem, List<double> samples, Dice dice)
    {
        var start = dice.Below(samples.Count);
        var block = Signal.Allocate(stem.Format.Channels, 1 + dice.Below(3000));
        stem.Read(start, block);
        for (var frame = 0; frame < block.Frames && start + frame < samples.Count; frame++)
        {
            if (BitConverter.DoubleToInt64Bits(block[0][frame]) != BitConverter.DoubleToInt64Bits(samples[start + frame]))
                throw new BadOutcomeException($"frame {start + frame} is {block[0][frame]} when read again, and was {samples[start + frame]}");
        }
    }

    private List<double>? Original(string path)
    {
        using var stem = _files.OpenStem(new(path), (_, _, _, _) => { });
        return stem is null ? null : ReadAll(stem);
    }
}
