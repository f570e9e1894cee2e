// Brings the dew heater of a telescope up and down slowly, one step of power at a time.
module dew_heater #(
    parameter LIMIT = 200
) (
    input  wire       clk,
    input  wire       rst_n,
    input  wire       step,
    input  wire       heat,
    output reg  [7:0] level,
    output wire       full
);
    assign full = level == LIMIT;

    always @(posedge clk or negedge rst_n)
        if (!rst_n)
            level <= 8'd0;
        else if (step && heat && !full)
            level <= level + 8'd1;
        else if (step && !heat && level != 8'd0)
            level <= level - 8'd1;
endmodule
