using System.Buffers.Binary;
using System.Globalization;
using System.IO.Hashing;
using System.Text;

namespace RenderGraph.Cli.Batch;

/// <summary>A part of a batch that one machine does. Parts differ by one song in size at most where they are full, and a song that comes or goes moves few others.</summary>
/// <param name="Index">From 1 on.</param>
/// <param name="Count">How many parts there are.</param>
internal readonly record struct Shard(int Index, int Count)
{
    /// <summary>What may be written, for messages.</summary>
    public const string Wanted = "K/N (2/5 is the second of five), or array, or array/N in a job array";

    private const int MostShards = 10_000;

    /// <summary>
    /// Reads <c>2/5</c>; or <c>array</c>, which asks a Slurm job array for both numbers; or <c>array/5</c>, which asks a job array for its place alone: Slurm's, or that of a Kubernetes indexed job, which does not tell its tasks how many they are.
    /// </summary>
    /// <param name="variable">The environment.</param>
    /// <returns>The shard, or a sentence of what is wrong.</returns>
    public static (Shard? Shard, string? Fault) Read(string text, Func<string, string?> variable)
    {
        var parts = text.Split('/');
        if (parts.Length > 2 || (parts.Length == 2 && Number(parts[1], 1, MostShards) is null) || (parts[0] != "array" && (parts.Length != 2 || Number(parts[0], 1, MostShards) is null)))
            return (null, $"--shard is \"{text}\", but a part was wanted: {Wanted}.");
        int? count = parts.Length == 2 ? Number(parts[1], 1, MostShards) : null;
        var (index, fault) = parts[0] == "array" ? PlaceInArray(variable, ref count) : (Number(parts[0], 1, MostShards), null);
        if (fault is not null)
            return (null, fault);
        return index <= count
            ? (new Shard(index!.Value, count!.Value), null)
            : (null, string.Create(CultureInfo.InvariantCulture, $"--shard {text} would be part {index} of {count}. Parts are counted from 1 to {count}."));
    }

    /// <summary>
    /// The songs of this part. Each song goes to the part for which the hash (XXH128) of its name and the part's number is highest, of those that have room: rendezvous hashing with bounded loads. It hangs on the names and on
    /// nothing else.
    /// </summary>
    public IReadOnlyList<Song> Of(IReadOnlyList<Song> songs)
    {
        var most = (songs.Count + Count - 1) / Count;
        var loads = new int[Count];
        var mine = new List<Song>();
        foreach (var song in songs.OrderBy(song => Hash(song.Name, 0)).ThenBy(song => song.Name, StringComparer.Ordinal))
        {
            var (best, highest) = (-1, UInt128.Zero);
            for (var part = 0; part < Count; part++)
            {
                if (loads[part] == most)
                    continue;
                var hash = Hash(song.Name, part + 1);
                if (best < 0 || hash > highest)
                    (best, highest) = (part, hash);
            }

            loads[best]++;
            if (best == Index - 1)
                mine.Add(song);
        }

        return [.. mine.OrderBy(song => song.Name, StringComparer.Ordinal)];
    }

    /// <inheritdoc/>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Index}/{Count}");

    private static UInt128 Hash(string name, int part)
    {
        var bytes = new byte[Encoding.UTF8.GetByteCount(name) + sizeof(int)];
        BinaryPrimitives.WriteInt32LittleEndian(bytes.AsSpan(Encoding.UTF8.GetBytes(name, bytes)), part);
        return XxHash128.HashToUInt128(bytes);
    }

    private static (int? Index, string? Fault) PlaceInArray(Func<string, string?> variable, ref int? count)
    {
        if (NumberOf("SLURM_ARRAY_TASK_ID") is { } task)
        {
            var (least, most, tasks, step) = (NumberOf("SLURM_ARRAY_TASK_MIN"), NumberOf("SLURM_ARRAY_TASK_MAX"), NumberOf("SLURM_ARRAY_TASK_COUNT"), NumberOf("SLURM_ARRAY_TASK_STEP") ?? 1);
            if (count is not null)
            {
                // The array may be a part of an earlier one, of tasks that failed: so the numbers themselves count.
                return (task, task >= 1 ? null : "--shard array/N counts the tasks of a Slurm array from 1. Write: sbatch --array=1-N.");
            }

            if (least is null || tasks is null)
                return (null, "SLURM_ARRAY_TASK_ID is set, but SLURM_ARRAY_TASK_MIN or SLURM_ARRAY_TASK_COUNT is not. Write --shard array/N.");
            if (step < 1 || (most is not null && least + ((tasks - 1) * step) != most))
                return (null, "the tasks of this job array have gaps, so their numbers do not tell the part. Write --shard array/N.");
            count = tasks;
            return (((task - least.Value) / step) + 1, null);
        }

        if (NumberOf("JOB_COMPLETION_INDEX") is { } completion)
            return (completion + 1, count is null ? "a Kubernetes indexed job does not tell its tasks how many they are. Write --shard array/N with the job's completions." : null);
        return (null, "--shard array is for a job array: neither SLURM_ARRAY_TASK_ID nor JOB_COMPLETION_INDEX is set. Write --shard K/N.");

        int? NumberOf(string name) => variable(name) is { } text ? Number(text, 0, int.MaxValue - 1) : null;
    }

    private static int? Number(string text, int least, int most) =>
        int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var number) && number >= least && number <= most ? number : null;
}
