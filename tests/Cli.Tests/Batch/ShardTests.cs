using CsCheck;
using RenderGraph.Cli.Batch;
using Xunit;

namespace RenderGraph.Cli.Tests.Batch;

public sealed class ShardTests
{
    private static readonly IReadOnlyList<Song> Songs = [.. Enumerable.Range(0, 200).Select(number => new Song($"song {number}", $"songs/{number}"))];

    [Fact]
    public void EverySongIsInOnePartAndNoPartHasMoreThanItsShare() => Gen.Select(Gen.Int[1, 12], Gen.String[1, 8].HashSet[0, 60]).Sample((count, names) =>
    {
        var songs = names.Select(name => new Song(name, name)).ToList();
        var parts = Parts(songs, count);
        Assert.Equal(names.Order(StringComparer.Ordinal), parts.SelectMany(part => part).Select(song => song.Name).Order(StringComparer.Ordinal));
        Assert.All(parts, part => Assert.True(part.Count <= (songs.Count + count - 1) / count));
    }, iter: 100);

    [Fact]
    public void ThePartHangsOnNamesAloneNotOnOrderOrPlace()
    {
        var elsewhere = Songs.Reverse().Select(song => song with { Folder = "/mnt/" + song.Folder }).ToList();
        for (var index = 1; index <= 5; index++)
            Assert.Equal(Names(new Shard(index, 5).Of(Songs)), Names(new Shard(index, 5).Of(elsewhere)));
        Assert.All(Parts(Songs, 5), part => Assert.Equal(40, part.Count));
    }

    [Fact]
    public void ASongMoreMovesFewOthers()
    {
        var before = Parts(Songs, 5);
        var after = Parts([.. Songs, new Song("song 200", "")], 5);
        var moved = before.Select((part, index) => part.Except(after[index]).Count()).Sum();
        Assert.True(moved <= 20, $"{moved} of 200 moved");
    }

    [Theory]
    [InlineData("2/5", "2/5")]
    [InlineData("1/1", "1/1")]
    [InlineData("0/5", null)]
    [InlineData("6/5", null)]
    [InlineData("-1/5", null)]
    [InlineData("1/0", null)]
    [InlineData("1.5/2", null)]
    [InlineData("1", null)]
    [InlineData("1/2/3", null)]
    [InlineData("array", null)]
    [InlineData("arr/5", null)]
    public void ReadsAPart(string text, string? expected)
    {
        var (shard, fault) = Shard.Read(text, _ => null);
        Assert.Equal(expected, shard?.ToString());
        Assert.Equal(expected is null, fault is not null);
    }

    // Slurm's own names: the manual page of sbatch, "OUTPUT ENVIRONMENT VARIABLES"; Kubernetes': the documentation of indexed jobs.
    [Theory]
    [InlineData("array", "SLURM_ARRAY_TASK_ID=3 SLURM_ARRAY_TASK_MIN=1 SLURM_ARRAY_TASK_MAX=5 SLURM_ARRAY_TASK_COUNT=5", "3/5")]
    [InlineData("array", "SLURM_ARRAY_TASK_ID=0 SLURM_ARRAY_TASK_MIN=0 SLURM_ARRAY_TASK_MAX=4 SLURM_ARRAY_TASK_COUNT=5", "1/5")]
    [InlineData("array", "SLURM_ARRAY_TASK_ID=20 SLURM_ARRAY_TASK_MIN=10 SLURM_ARRAY_TASK_MAX=30 SLURM_ARRAY_TASK_COUNT=3 SLURM_ARRAY_TASK_STEP=10", "2/3")]
    [InlineData("array", "SLURM_ARRAY_TASK_ID=7 SLURM_ARRAY_TASK_MIN=3 SLURM_ARRAY_TASK_MAX=7 SLURM_ARRAY_TASK_COUNT=2", null)]
    [InlineData("array/5", "SLURM_ARRAY_TASK_ID=3 SLURM_ARRAY_TASK_MIN=3 SLURM_ARRAY_TASK_MAX=3 SLURM_ARRAY_TASK_COUNT=1", "3/5")]
    [InlineData("array/5", "SLURM_ARRAY_TASK_ID=0", null)]
    [InlineData("array/5", "JOB_COMPLETION_INDEX=0", "1/5")]
    [InlineData("array/5", "JOB_COMPLETION_INDEX=4", "5/5")]
    [InlineData("array/5", "JOB_COMPLETION_INDEX=5", null)]
    [InlineData("array", "JOB_COMPLETION_INDEX=0", null)]
    public void ReadsAJobArraysOwnVariables(string text, string environment, string? expected)
    {
        var variables = environment.Split(' ').Select(pair => pair.Split('=')).ToDictionary(pair => pair[0], pair => pair[1]);
        var (shard, fault) = Shard.Read(text, variables.GetValueOrDefault);
        Assert.Equal(expected, shard?.ToString());
        Assert.Equal(expected is null, fault is not null);
    }

    private static List<IReadOnlyList<Song>> Parts(IReadOnlyList<Song> songs, int count) => [.. Enumerable.Range(1, count).Select(index => new Shard(index, count).Of(songs))];

    private static IEnumerable<string> Names(IReadOnlyList<Song> songs) => songs.Select(song => song.Name);
}
