// Counts the seconds in which the shutter was open. A second that ends while it is shut is lost.
module tally #(
    parameter CLK_HZ = 12_000_000
) (
    input  wire       clk,
    input  wire       rst_n,      // asynchronous, active low
    input  wire       open,
    output reg  [5:0] seconds,
    output reg  [5:0] minutes,
    output reg  [6:0] hours
);
    wire second;

    second_source #(.CLK_HZ(CLK_HZ)) u_second (.clk(clk), .rst_n(rst_n), .second(second));

    wire seconds_full = seconds == 6'd59;
    wire minutes_full = minutes == 6'd59;
    wire hours_full   = hours == 7'd99;

    always @(posedge clk or negedge rst_n)
        if (!rst_n)
            seconds <= 6'd0;
        else if (second && open)
            seconds <= seconds_full ? 6'd0 : seconds + 6'd1;

    always @(posedge clk or negedge rst_n)
        if (!rst_n)
            minutes <= 6'd0;
        else if (second && seconds_full)
            minutes <= minutes_full ? 6'd0 : minutes + 6'd1;

    always @(posedge clk or negedge rst_n)
        if (!rst_n)
            hours <= 7'd0;
        else if (second && open && seconds_full && minutes_full)
            hours <= hours_full ? 7'd0 : hours + 7'd1;
endmodule
