// Hours left: down to 0 and round again; clear goes back to the start. No enable.
`default_nettype none
module hours_left (
    input  wire        clk,
    input  wire        rst,        // synchronous, active high
    input  wire        clear,
    output logic [4:0] hours,
    output wire        last_hour
);
    localparam logic [4:0] TOP = 5'd24;

    always_ff @(posedge clk)
        if (rst || clear || last_hour) hours <= TOP;
        else                           hours <= hours - 5'd1;

    assign last_hour = hours == 5'd0;
endmodule
`default_nettype wire
